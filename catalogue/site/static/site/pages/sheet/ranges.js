/* Ranges: cleared, filled, copied and pasted. */

import { readBlock, writeBlock } from "./lines.js";
import { range } from "./places.js";
import { data, width } from "./state.js";
import { allRows } from "./table.js";
import { setTexts, textAt } from "./typing.js";

export function eachInRange(text) {
  const box = range();
  const all = allRows();
  const spots = [];
  for (let row = box.top; row <= box.bottom; row += 1) {
    for (let column = box.left; column <= box.right; column += 1) {
      if (!all[row].dataset.last) {
        spots.push({ row: row, column: column, text: text(row, column), part: all[row].dataset.part });
      }
    }
  }
  return spots;
}

export function block() {
  const box = range();
  const found = [];
  for (let row = box.top; row <= box.bottom; row += 1) {
    const cells = [];
    for (let column = box.left; column <= box.right; column += 1) {
      cells.push(textAt({ row: row, column: column }));
    }
    found.push(cells);
  }
  return writeBlock(found);
}

export function clear() {
  setTexts(
    eachInRange(function (row, column) {
      return column < 2 ? textAt({ row: row, column: column }) : "";
    }),
  );
}

export function fill(down) {
  const box = range();
  setTexts(
    eachInRange(function (row, column) {
      return textAt(down ? { row: box.top, column: column } : { row: row, column: box.left });
    }).filter(function (spot) {
      return down ? spot.row > box.top : spot.column > box.left;
    }),
  );
}

export function paste(text) {
  const copied = readBlock(text);
  const box = range();
  const all = allRows();
  const part = all[box.top].dataset.part;
  const spots = [];
  const single = copied.length === 1 && copied[0].length === 1;
  if (single && (box.bottom > box.top || box.right > box.left)) {
    setTexts(
      eachInRange(function () {
        return copied[0][0];
      }),
    );
    return;
  }
  let ended = Boolean(all[box.top].dataset.last);
  copied.forEach(function (cells, down) {
    const row = all[box.top + down];
    ended = ended || !row || row.dataset.part !== part || Boolean(row.dataset.last);
    cells.forEach(function (cell, right) {
      const column = box.left + right;
      const words = column === 1 ? kindFrom(cell) : cell;
      if (column < width && !(ended && !cell)) {
        spots.push({
          row: box.top + (ended ? 0 : down),
          column: column,
          text: words,
          part: part,
          makes: ended ? "paste" + down : "",
        });
      }
    });
  });
  setTexts(
    spots.toSorted(function (one, other) {
      return (one.column === 2) - (other.column === 2);
    }),
  );
}

export function kindFrom(text) {
  const found = data.kinds.find(function (pair) {
    return pair.includes(text);
  });
  return found ? found[0] : text;
}
