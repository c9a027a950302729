/* What was typed and changed can be taken back and done again; keys in one line within a second are one change. */

import * as lines from "./lines.js";

const TOGETHER_MS = 1000;
const MOST = 200;

let past = [];
let future = [];
let present = null;
let lastPlace = -1;
let lastAt = 0;

function snapshot() {
  const field = document.activeElement;
  const line = field && field.matches("#text-lines textarea") ? lines.lineOf(field) : null;
  return {
    text: lines.read(),
    place: line ? lines.all().indexOf(line) : -1,
    caret: line ? field.selectionStart : 0,
  };
}

export function begin() {
  present = snapshot();
}

/* Keep what the text has become; `isTyping` for keys that go on where the last one stood. */
export function keep(isTyping) {
  const now = snapshot();
  const goesOn = isTyping && now.place === lastPlace && Date.now() - lastAt < TOGETHER_MS;
  if (!goesOn) {
    past = past.concat([present]).slice(-MOST);
  }
  future = [];
  present = now;
  lastPlace = isTyping ? now.place : -1;
  lastAt = Date.now();
}

/* Where the caret stands belongs to the change that comes next. */
export function standAt() {
  if (present) {
    const now = snapshot();
    present.place = now.place;
    present.caret = now.caret;
  }
}

function show(one) {
  present = one;
  lastPlace = -1;
  lines.write(one.text);
  const line = lines.all()[one.place];
  if (line) {
    lines.focus(line, Math.min(one.caret, lines.fieldOf(line).value.length));
  }
}

export function undo() {
  if (!past.length) {
    return false;
  }
  future.push(present);
  show(past.pop());
  return true;
}

export function redo() {
  if (!future.length) {
    return false;
  }
  past.push(present);
  show(future.pop());
  return true;
}
