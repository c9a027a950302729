/* What the pointer does in the grid, the clipboard, the tools above it, and finding. */

import { put } from "../names_offered.js";
import { begin as dragLines } from "./dragging.js";
import { key } from "./keys.js";
import { acts, searched } from "./line_acts.js";
import { go, spotOf } from "./places.js";
import { block, clear, paste } from "./ranges.js";
import { find, state, table, tools } from "./state.js";
import { lineOf } from "./table.js";
import { edit, finish } from "./typing.js";
import { referenceTo } from "./words.js";

let dragging = false;

export function bind() {
  table.addEventListener("keydown", key);
  dragLines();
  table.addEventListener("mousedown", function (event) {
    const cell = event.target.closest("tbody th[scope=row], tbody td");
    const isOther = event.button !== 0 || (state.editing && state.editing.cell === cell);
    if (!cell || isOther || event.target.closest("a, .sheet-grip")) {
      return;
    }
    const row = cell.parentElement;
    const reference = state.editing && state.editing.spot.column === 2 ? referenceTo(lineOf(row)) : "";
    if (reference) {
      event.preventDefault();
      put(state.editing.input, reference);
      return;
    }
    finish(true);
    event.preventDefault();
    const spot = spotOf(cell);
    go(spot.row, spot.column, event.shiftKey);
    dragging = true;
  });
  table.addEventListener("mouseover", function (event) {
    const cell = dragging && event.target.closest("tbody th[scope=row], tbody td");
    if (cell) {
      const spot = spotOf(cell);
      go(spot.row, spot.column, true);
    }
  });
  window.addEventListener("mouseup", function () {
    dragging = false;
  });
  table.addEventListener("dblclick", function (event) {
    if (event.target.closest("tbody td, tbody th[scope=row]")) {
      edit();
    }
  });
  table.addEventListener("focusin", function (event) {
    const cell = event.target.closest("tbody th[scope=row], tbody td");
    if (cell && !state.to) {
      const spot = spotOf(cell);
      go(spot.row, spot.column);
    }
  });
  document.addEventListener("copy", function (event) {
    onClipboard(event, function () {
      event.clipboardData.setData("text/plain", block());
    });
  });
  document.addEventListener("cut", function (event) {
    onClipboard(event, function () {
      event.clipboardData.setData("text/plain", block());
      clear();
    });
  });
  document.addEventListener("paste", function (event) {
    onClipboard(event, function () {
      paste(event.clipboardData.getData("text/plain"));
    });
  });
  tools.addEventListener("mousedown", function (event) {
    if (event.target.closest("button")) {
      event.preventDefault();
    }
  });
  tools.addEventListener("click", function (event) {
    const wanted = event.target.closest("button");
    if (wanted && (state.to || ["undo", "redo"].includes(wanted.dataset.do))) {
      acts[wanted.dataset.do]();
    }
  });
  find.addEventListener("input", function () {
    searched(false);
  });
  find.addEventListener("keydown", function (event) {
    if (event.key === "Enter") {
      event.preventDefault();
      searched(true);
    }
    if (event.key === "Escape" && state.to) {
      event.preventDefault();
      go(state.to.row, state.to.column);
    }
  });
  window.addEventListener(
    "scroll",
    function () {
      const above = Math.max(0, -table.getBoundingClientRect().top);
      table.tHead.style.transform = above ? "translateY(" + above + "px)" : "";
    },
    { passive: true },
  );
}

function onClipboard(event, act) {
  if (state.editing || !state.to || !table.contains(document.activeElement)) {
    return;
  }
  event.preventDefault();
  act();
}
