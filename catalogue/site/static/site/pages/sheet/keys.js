/* Keys of the grid. */

import { redo, undo } from "./history.js";
import { move } from "./line_acts.js";
import { go } from "./places.js";
import { clear, fill } from "./ranges.js";
import { save } from "./server.js";
import { find, panel, state, width } from "./state.js";
import { allRows } from "./table.js";
import { edit, editKey } from "./typing.js";

export function key(event) {
  if (state.editing) {
    editKey(event);
    return;
  }
  const cell = event.target.closest("tbody th, tbody td");
  if (!cell || !state.to) {
    return;
  }
  const command = event.ctrlKey || event.metaKey;
  const steps = {
    ArrowDown: [1, 0],
    ArrowUp: [-1, 0],
    ArrowRight: [0, 1],
    ArrowLeft: [0, -1],
    PageDown: [20, 0],
    PageUp: [-20, 0],
  };
  const letter = event.key.toLowerCase();
  const commands = {
    z: event.shiftKey ? redo : undo,
    y: redo,
    d: function () {
      fill(true);
    },
    r: function () {
      fill(false);
    },
    s: save,
    f: function () {
      find.focus();
    },
    a: function () {
      state.from = { row: 0, column: 0 };
      go(allRows().length - 2, width - 1, true);
    },
  };
  let done = true;
  if (event.altKey && steps[event.key] && steps[event.key][0]) {
    move(steps[event.key][0]);
  } else if (steps[event.key]) {
    go(state.to.row + steps[event.key][0], state.to.column + steps[event.key][1], event.shiftKey);
  } else if (event.key === "Home") {
    go(command ? 0 : state.to.row, 0, event.shiftKey);
  } else if (event.key === "End") {
    go(command ? allRows().length - 1 : state.to.row, width - 1, event.shiftKey);
  } else if (event.key === "Tab") {
    done = step(event.shiftKey ? -1 : 1);
  } else if (event.key === "Enter" || event.key === "F2") {
    edit();
  } else if (event.key === "Delete" || event.key === "Backspace") {
    clear();
  } else if (event.key === "Escape") {
    panel.tabIndex = -1;
    panel.focus();
  } else if (command && commands[letter]) {
    commands[letter]();
  } else if (event.key.length === 1 && !command && !event.altKey) {
    edit(event.key);
  } else {
    done = false;
  }
  if (done) {
    event.preventDefault();
  }
}

export function step(right) {
  const place = state.to.row * width + state.to.column + right;
  if (place < 0 || place >= allRows().length * width) {
    return false;
  }
  go(Math.floor(place / width), place % width);
  return true;
}
