/* Typing into a cell. */

import * as offered from "../names_offered.js";
import { amountIn, sumOf } from "./adding.js";
import { take } from "./history.js";
import { byId, FIRST_SIZE, idOf, insertedLast, withCell } from "./lines.js";
import { cellAt, go, range, showAll } from "./places.js";
import { data, element, state, table, width } from "./state.js";
import { allRows, lineOf, placeOfError, savedLine, shownText } from "./table.js";
import { wordsNow } from "./words.js";

let serial = 0;

/* A name for a line until it is saved. */
export function nameForNow() {
  serial += 1;
  return "+" + Date.now().toString(36) + serial;
}

export function setTexts(spots, typedOver) {
  const all = allRows();
  const known = byId(state.saved);
  let next = state.lines.slice();
  const made = new Map();
  spots.forEach(function (spot) {
    const row = all[spot.row];
    let line = row && !spot.makes ? lineOf(row) : null;
    if (!line) {
      const place = spot.part + "/" + spot.row + "/" + (spot.makes || "");
      if (!made.has(place)) {
        const name = nameForNow();
        const added = {
          id: idOf(spot.part, name),
          part: spot.part,
          name: name,
          cells: Array(width).fill(""),
        };
        next = insertedLast(next, added);
        made.set(place, added.id);
      }
      line = { id: made.get(place) };
    }
    const at = next.findIndex(function (one) {
      return one.id === line.id;
    });
    const before = known.get(line.id);
    if (next[at].cells[spot.column] !== spot.text) {
      next[at] = withCell(next[at], spot.column, spot.text, before);
    }
  });
  if (
    next.length !== state.lines.length ||
    next.some(function (line, at) {
      return line !== state.lines[at];
    })
  ) {
    take(next, typedOver);
  }
}

export function textAt(spot) {
  const row = allRows()[spot.row];
  const line = row && lineOf(row);
  return line ? shownText(line, spot.column, savedLine(line)) : "";
}

const TAKES_AMOUNTS = new Set(["values", "body"]);
/* Parts whose third cell names lines of the sheet. */
const NAMING = ["values", "pick_ups", "checks", "yarn_sections"];

function chooser() {
  const made = element("select", "", "sheet-input");
  data.kinds.forEach(function (pair) {
    const choice = element("option", pair[0] === pair[1] ? pair[0] : pair[0] + " (" + pair[1] + ")");
    choice.value = pair[0];
    made.append(choice);
  });
  return made;
}

function box() {
  const made = element("input", "", "sheet-input");
  made.type = "text";
  made.autocomplete = "off";
  return made;
}

export function edit(initial) {
  const cell = cellAt(state.to);
  if (!cell || state.editing) {
    return;
  }
  const row = cell.parentElement;
  const column = state.to.column;
  if (column === 1 && !["values", "yarn_sections"].includes(row.dataset.part)) {
    return;
  }
  const isChosen = column === 1 && row.dataset.part === "values";
  const input = isChosen ? chooser() : box();
  const line = lineOf(row);
  input.setAttribute(
    "aria-label",
    ((line && line.cells[0]) || "New line") + ", " + table.tHead.rows[0].cells[column].textContent,
  );
  const text = initial === undefined ? textAt(state.to) : initial;
  input.value = column === 2 && text === "list" ? "" : text;
  state.editing = {
    cell: cell,
    from: state.from,
    spot: state.to,
    input: input,
    kept: Array.from(cell.childNodes),
    was: textAt(state.to),
    part: row.dataset.part,
    range: range(),
  };
  cell.removeAttribute("tabindex");
  cell.replaceChildren(input);
  input.focus();
  if (!isChosen) {
    const place = initial === undefined ? placeOfError(line, column) : null;
    input.setSelectionRange(place || input.value.length, input.value.length);
  }
  if (column === 2 && NAMING.includes(row.dataset.part)) {
    offered.attach(input, wordsNow());
  }
  input.addEventListener("blur", function () {
    if (state.editing && state.editing.input === input) {
      finish(true);
    }
  });
}

export function finish(keeps) {
  if (!state.editing) {
    return;
  }
  const done = state.editing;
  state.editing = null;
  const text = done.input.value.trim();
  offered.close();
  done.cell.tabIndex = 0;
  done.cell.replaceChildren.apply(done.cell, done.kept);
  done.cell.parentElement.shown = null;
  const typedOver = { from: done.from, to: done.spot };
  const sums = keeps ? addedTo(done.range, text) : [];
  if (sums.length) {
    setTexts(sums, typedOver);
    return;
  }
  const wasShown = done.was === "list" && done.spot.column === 2 ? "" : done.was;
  if (keeps && text !== wasShown) {
    setTexts([{ row: done.spot.row, column: done.spot.column, text: text, part: done.part }], typedOver);
  } else {
    showAll();
  }
}

/* The cells of a range with “+2 cm” added to each; none for one cell, or where it says something else. Where no line
   takes that unit, each cell says it as typed, so that all of them are refused and none is taken for another. */
function addedTo(chosen, text) {
  const amount = amountIn(text);
  const sums = [];
  const asTyped = [];
  if (!amount || (chosen.top === chosen.bottom && chosen.left === chosen.right)) {
    return sums;
  }
  const all = allRows();
  const units = new Map(data.kinds);
  for (let row = chosen.top; row <= chosen.bottom; row += 1) {
    const line = lineOf(all[row]);
    const part = all[row].dataset.part;
    const home = line && units.get(part === "body" ? "length" : line.cells[1]);
    const last = line && TAKES_AMOUNTS.has(part) ? chosen.right : -1;
    for (let column = Math.max(chosen.left, FIRST_SIZE); column <= last; column += 1) {
      const sum = sumOf(textAt({ row: row, column: column }), amount, home);
      if (sum !== null) {
        sums.push({ row: row, column: column, text: sum, part: part });
      }
      asTyped.push({ row: row, column: column, text: text, part: part });
    }
  }
  return sums.length || !amount.unit ? sums : asTyped;
}

/* Tab goes from the label of a new line to the cell that says what it is. */
function nextOf(spot, right) {
  const row = allRows()[spot.row];
  const line = lineOf(row);
  const isNew = row.dataset.last || (line && line.name.startsWith("+"));
  const skips = isNew && right > 0 && spot.column === 0;
  return skips ? (row.dataset.part === "body" ? FIRST_SIZE : 2) : spot.column + right;
}

/* Enter goes to the cell below; after Tab, to the one below the cell where that began, as in a spreadsheet. */
export function editKey(event) {
  if (offered.key(event)) {
    return;
  }
  const spot = state.editing.spot;
  const back = event.shiftKey ? -1 : 1;
  if (event.key === "Tab") {
    event.preventDefault();
    const began = state.began && state.began.row === spot.row ? state.began : spot;
    finish(true);
    go(spot.row, nextOf(spot, back));
    state.began = began;
  } else if (event.key === "Enter") {
    event.preventDefault();
    const began = state.began && state.began.row === spot.row ? state.began : spot;
    finish(true);
    go(spot.row + back, began.column);
  } else if (event.key === "Escape") {
    event.preventDefault();
    finish(false);
    go(spot.row, spot.column);
  }
  event.stopPropagation();
}
