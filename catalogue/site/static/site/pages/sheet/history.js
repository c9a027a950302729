/* What was typed, step by step: each step is kept, taken back and done again, also across saves. */

import { changesOf, isEmpty, withBatch } from "./lines.js";
import { choose, showAll } from "./places.js";
import { changes, data, draftKey, fresh, savedKey, state, unsaved, width } from "./state.js";
import { tell } from "./told.js";

let ask = null;
let previewTimer = 0;

/* `preview` asks the server what would change, `null` says that nothing is typed any more. */
export function begin(preview) {
  ask = preview;
}

/* Let no question wait: what is asked next is asked by a save. */
export function askNoMore() {
  window.clearTimeout(previewTimer);
}

/* `typedOver` is the range that the step is of. */
export function take(next, typedOver = { from: state.from, to: state.to }) {
  state.past.push({ lines: state.lines, from: typedOver.from, to: typedOver.to });
  state.future = [];
  state.lines = next;
  changed();
}

export function changed() {
  showAll();
  const batch = changesOf(state.saved, state.lines);
  if (isEmpty(batch)) {
    window.localStorage.removeItem(draftKey);
    fresh.clear();
    state.refused = state.refused.size ? new Map() : state.refused;
    askNoMore();
    ask(false);
    changes.replaceChildren();
    unsaved.hidden = true;
    showAll();
    return;
  }
  window.localStorage.setItem(draftKey, JSON.stringify({ revision: state.revision, batch: batch }));
  if (!changes.querySelector("button")) {
    tell("Not saved yet.", []);
  }
  window.clearTimeout(previewTimer);
  previewTimer = window.setTimeout(ask, 250, true);
}

/* Take the lines of the last step of one list, keep those of now in the other, and choose what was typed over. */
function step(from, to) {
  const last = from.pop();
  to.push({ lines: state.lines, from: last.from, to: last.to });
  state.lines = last.lines;
  changed();
  choose(last.from, last.to);
}

export function undo() {
  if (state.past.length) {
    step(state.past, state.future);
    return;
  }
  const form = document.querySelector("form[action='" + data.addresses.undo + "']");
  if (form) {
    const last = window.sessionStorage.getItem(savedKey);
    if (last) {
      window.sessionStorage.setItem(savedKey + ":redo", last);
      window.sessionStorage.removeItem(savedKey);
    }
    form.requestSubmit();
  }
}

export function redo() {
  if (state.future.length) {
    step(state.future, state.past);
    return;
  }
  const again = window.sessionStorage.getItem(savedKey + ":redo");
  if (again) {
    window.sessionStorage.removeItem(savedKey + ":redo");
    take(withBatch(state.saved, JSON.parse(again), width).lines);
  }
}
