/* Lines: inserted, duplicated, moved, deleted, found. */

import { redo, take, undo } from "./history.js";
import { FIRST_SIZE, idOf } from "./lines.js";
import { go, range } from "./places.js";
import { find, rows, state, width } from "./state.js";
import { allRows, lineOf } from "./table.js";
import { nameForNow } from "./typing.js";

export function addAfter(line, cells) {
  const name = nameForNow();
  const at = state.lines.indexOf(line) + 1;
  take(
    state.lines
      .slice(0, at)
      .concat(
        [{ id: idOf(line.part, name), part: line.part, name: name, cells: cells }],
        state.lines.slice(at),
      ),
  );
  go(state.to.row + 1, 0);
}

export function move(by) {
  const line = lineOf(allRows()[state.to.row]);
  const at = state.lines.indexOf(line);
  const other = state.lines[at + by];
  if (!line || !other || other.part !== line.part) {
    return;
  }
  const next = state.lines.slice();
  next[at] = other;
  next[at + by] = line;
  take(next);
  go(state.to.row + by, state.to.column);
}

/* A line put above or below another of its part. */
export function moveTo(line, target, isBelow) {
  const next = state.lines.filter((one) => one !== line);
  next.splice(next.indexOf(target) + (isBelow ? 1 : 0), 0, line);
  take(next);
  go(allRows().indexOf(rows.get(line.id)), 0);
}

export function removeLines() {
  const all = allRows();
  const box = range();
  const gone = new Set(all.slice(box.top, box.bottom + 1).map(lineOf));
  take(
    state.lines.filter(function (line) {
      return !gone.has(line);
    }),
  );
  go(box.top, state.to.column);
}

export const acts = {
  undo: undo,
  redo: redo,
  insert: function () {
    const line = lineOf(allRows()[state.to.row]);
    if (line) {
      addAfter(line, Array(width).fill(""));
    }
  },
  duplicate: function () {
    const line = lineOf(allRows()[state.to.row]);
    if (line) {
      const cells = line.cells.map(function (text, at) {
        return at >= FIRST_SIZE && line.part === "values" && line.cells[2] !== "list" ? "" : text;
      });
      addAfter(line, cells);
    }
  },
  remove: removeLines,
  up: function () {
    move(-1);
  },
  down: function () {
    move(1);
  },
};

export function searched(onwards) {
  const wanted = find.value.trim().toLowerCase();
  if (!wanted) {
    return;
  }
  const all = allRows();
  const start = state.to ? state.to.row + (onwards ? 1 : 0) : 0;
  for (let ahead = 0; ahead < all.length; ahead += 1) {
    const at = (start + ahead) % all.length;
    const line = lineOf(all[at]);
    if (line && (line.cells[0] + "\n" + line.name + "\n" + line.cells[2]).toLowerCase().includes(wanted)) {
      go(at, 0);
      find.focus();
      return;
    }
  }
}
