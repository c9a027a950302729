/* A line dragged by its grip to another place among the lines of its part. */

import { moveTo } from "./line_acts.js";
import { table } from "./state.js";
import { lineOf } from "./table.js";

let grip = null;
let over = null;
let isBelow = false;

function clear() {
  if (over) {
    over.classList.remove("is-drop-above", "is-drop-below");
  }
  over = null;
}

function rowUnder(event) {
  const found = document.elementFromPoint(event.clientX, event.clientY);
  const row = found && found.closest("#sheet-grid tbody tr");
  const own = grip.closest("tr");
  const fits = row && row !== own && row.dataset.part === own.dataset.part && lineOf(row);
  return fits ? row : null;
}

function follow(event) {
  if (!grip) {
    return;
  }
  clear();
  over = rowUnder(event);
  if (over) {
    const box = over.getBoundingClientRect();
    isBelow = event.clientY > box.top + box.height / 2;
    over.classList.add(isBelow ? "is-drop-below" : "is-drop-above");
  }
}

function drop() {
  const line = grip && lineOf(grip.closest("tr"));
  const target = over && lineOf(over);
  clear();
  grip = null;
  table.classList.remove("is-dragging");
  if (line && target) {
    moveTo(line, target, isBelow);
  }
}

export function begin() {
  table.addEventListener("pointerdown", function (event) {
    const found = event.target.closest(".sheet-grip");
    if (!found || event.button !== 0 || !lineOf(found.closest("tr"))) {
      return;
    }
    event.preventDefault();
    grip = found;
    grip.setPointerCapture(event.pointerId);
    table.classList.add("is-dragging");
  });
  table.addEventListener("pointermove", follow);
  table.addEventListener("pointerup", drop);
  table.addEventListener("pointercancel", function () {
    clear();
    drop();
  });
}
