/* Where one is in the grid, and the range that is chosen. */

import { explainSoon } from "./origins.js";
import { changes, state, table, width } from "./state.js";
import { allRows, show } from "./table.js";

let marked = [];

/* Show the lines as they are now, and the range. */
export function showAll() {
  show();
  mark();
}

export function cellAt(spot) {
  const row = allRows()[spot.row];
  return row ? row.cells[spot.column] : null;
}

export function spotOf(cell) {
  return { row: allRows().indexOf(cell.parentElement), column: cell.cellIndex };
}

/* A narrow window hides columns. */
export function isShown(cell) {
  return cell.getClientRects().length > 0;
}

/* The place itself, or the next one on the way that is shown; the last one where there is none. */
function shownFrom(spot) {
  const step = state.to && spot.column < state.to.column ? -1 : 1;
  let column = spot.column;
  while (cellAt({ row: spot.row, column: column }) && !isShown(cellAt({ row: spot.row, column: column }))) {
    column += step;
  }
  return cellAt({ row: spot.row, column: column }) ? { row: spot.row, column: column } : spot;
}

export function go(row, column, extend) {
  const last = allRows().length - 1;
  state.began = null;
  state.to = shownFrom({
    row: Math.max(0, Math.min(last, row)),
    column: Math.max(0, Math.min(width - 1, column)),
  });
  if (!extend || !state.from) {
    state.from = state.to;
  }
  mark();
  const cell = cellAt(state.to);
  if (!cell) {
    return;
  }
  const before = table.querySelector("[tabindex='0']");
  if (before) {
    before.tabIndex = -1;
  }
  cell.tabIndex = 0;
  cell.focus({ preventScroll: true });
  cell.scrollIntoView({ block: "nearest", inline: "nearest" });
  uncover(cell);
  /* Once more when the head of the table has followed. */
  window.requestAnimationFrame(function () {
    window.requestAnimationFrame(function () {
      if (cell === cellAt(state.to)) {
        uncover(cell);
      }
    });
  });
  explainSoon();
}

/* Choose a range again, where one was chosen. */
export function choose(from, to) {
  if (from && to) {
    state.from = from;
    go(to.row, to.column, true);
  }
}

/* Scroll a cell out from under the head, the dock and the labels; of a tall row the top is seen. */
function uncover(cell) {
  const head = table.tHead.getBoundingClientRect();
  const dock = changes.parentElement.getBoundingClientRect();
  const box = cell.getBoundingClientRect();
  if (box.bottom > dock.top && dock.top > head.bottom) {
    window.scrollBy(0, Math.min(box.bottom - dock.top + 4, box.top - head.height));
  } else if (box.top < head.bottom) {
    window.scrollBy(0, box.top - head.bottom);
  }
  const labels = table.rows[0].cells[0].getBoundingClientRect();
  if (box.left < labels.right && cell.cellIndex) {
    table.parentElement.scrollLeft -= labels.right - box.left;
  }
}

export function range() {
  return {
    top: Math.min(state.from.row, state.to.row),
    bottom: Math.max(state.from.row, state.to.row),
    left: Math.min(state.from.column, state.to.column),
    right: Math.max(state.from.column, state.to.column),
  };
}

export function mark() {
  marked.forEach(function (cell) {
    cell.classList.remove("in-range");
    cell.removeAttribute("aria-selected");
  });
  marked = [];
  if (!state.from || !state.to) {
    return;
  }
  const all = allRows();
  const box = range();
  for (let row = box.top; row <= box.bottom && row < all.length; row += 1) {
    for (let column = box.left; column <= box.right; column += 1) {
      const cell = all[row].cells[column];
      cell.classList.add("in-range");
      if (cell.tagName === "TD") {
        cell.setAttribute("aria-selected", "true");
      }
      marked.push(cell);
    }
  }
}
