/* Keys of the text: steps made, joined and moved, blocks entered and left, and the caret from line to line. */

import { depthOf, nextStop, pastedLines, placeBefore } from "./blocks.js";
import * as lines from "./lines.js";

let changed = null;
let tell = null;

/* `whenChanged` is called after each change, `say` with what is to be told. */
export function begin(whenChanged, say) {
  changed = whenChanged;
  tell = say;
}

function announce(words) {
  tell(words);
  changed();
}

function before(field) {
  return field.value.slice(0, field.selectionStart);
}

function addAfter(line, one) {
  if (lines.isFull()) {
    tell("This text is as long as one page can hold: save it, and write on step by step.");
    return null;
  }
  const made = lines.make(one);
  line.after(made);
  return made;
}

export function addStep(line, text) {
  const made = addAfter(line, { kind: "step", text: text });
  if (made) {
    lines.number();
    lines.focus(made, 0);
    announce("A step was made.");
  }
}

export function addSection(line) {
  const made = addAfter(lines.endOfSection(line), { kind: "title", text: "" });
  if (made) {
    addAfter(made, { kind: "step", text: "" });
    lines.number();
    lines.focus(made, 0);
    announce("A section was made: write its title.");
  }
}

export function takeOut(line) {
  const next = line.nextElementSibling || line.previousElementSibling;
  if (!next) {
    lines.fieldOf(line).value = "";
  } else {
    line.remove();
    lines.number();
    lines.focus(next, 0);
  }
  announce(lines.isTitle(line) ? "The title was taken out." : "The step was taken out.");
}

export function moveLine(line, isDown) {
  const field = lines.fieldOf(line);
  const spot = [field.selectionStart, field.selectionEnd];
  if (lines.move(line, isDown)) {
    lines.focus(line, spot[0], spot[1]);
    announce("Moved: " + line.querySelector("label").textContent + ".");
  } else {
    tell("It stands at the end already.");
  }
}

export function changeKind(line, kind, text) {
  const made = lines.make({ kind: kind, text: text });
  line.replaceWith(made);
  lines.number();
  lines.focus(made, 0);
  announce(kind === "title" ? "This is the title of a section now." : "This is a step now.");
}

function enter(line, field) {
  if (lines.isFull()) {
    addStep(line, "");
    return;
  }
  const rest = field.value.slice(field.selectionEnd);
  const words = rest.replace(/^[ \t]+/, "");
  field.value = before(field) + rest.slice(0, rest.length - words.length);
  addStep(line, words);
}

/* Two steps become one, with the caret where they meet. */
function join(first, second) {
  const field = lines.fieldOf(first);
  const place = field.value.length;
  field.value += lines.fieldOf(second).value;
  second.remove();
  lines.number();
  lines.focus(first, place);
  announce("Two steps were joined.");
}

/* Backspace at the start of a line; whether there was something to do. */
function backspace(line, field) {
  const previous = line.previousElementSibling;
  if (!previous) {
    return false;
  }
  if (lines.isTitle(line)) {
    changeKind(line, "step", field.value);
  } else if (!lines.isTitle(previous)) {
    join(previous, line);
  } else if (!field.value) {
    line.remove();
    lines.number();
    lines.focus(previous, lines.fieldOf(previous).value.length);
    announce("The step was taken out.");
  } else {
    lines.focus(previous, lines.fieldOf(previous).value.length);
  }
  return true;
}

function deleteAtEnd(line) {
  const next = line.nextElementSibling;
  if (!next || lines.isTitle(line) || lines.isTitle(next)) {
    return false;
  }
  join(line, next);
  return true;
}

function tab(event, field) {
  const stop = event.shiftKey
    ? placeBefore(field.value, field.selectionStart)
    : nextStop(field.value, field.selectionEnd);
  if (stop < 0) {
    return false;
  }
  field.setSelectionRange(stop, stop);
  return true;
}

function hasOneRow(field) {
  return field.clientHeight < 2 * Number.parseFloat(getComputedStyle(field).lineHeight);
}

/* An arrow that finds no further row in its field goes on in the next one; whether it has gone already.
   Only the browser knows where a caret goes among several rows: there we look when it has moved. */
function cross(line, field, isDown) {
  const next = isDown ? line.nextElementSibling : line.previousElementSibling;
  const go = () => lines.focus(next, isDown ? 0 : lines.fieldOf(next).value.length);
  if (next && hasOneRow(field)) {
    go();
    return true;
  }
  const spot = field.selectionStart;
  window.setTimeout(function () {
    if (next && document.activeElement === field && field.selectionStart === spot) {
      go();
    }
  });
  return false;
}

/* Whether a key was for the text as a whole. */
function isDone(event, line, field) {
  const isPoint = field.selectionStart === field.selectionEnd;
  if (event.altKey) {
    const isDown = event.key === "ArrowDown";
    if (isDown || event.key === "ArrowUp") {
      moveLine(line, isDown);
      return true;
    }
    return false;
  }
  if (event.key === "Enter") {
    const staysWithin = !lines.isTitle(line) && (event.shiftKey || depthOf(before(field)) > 0);
    if (!staysWithin) {
      enter(line, field);
    }
    return !staysWithin;
  }
  if (event.key === "Backspace") {
    return isPoint && field.selectionStart === 0 && backspace(line, field);
  }
  if (event.key === "Delete") {
    return isPoint && field.selectionStart === field.value.length && deleteAtEnd(line);
  }
  if (event.key === "Tab") {
    return isPoint && tab(event, field);
  }
  if ((event.key === "ArrowDown" || event.key === "ArrowUp") && isPoint && !event.shiftKey) {
    return cross(line, field, event.key === "ArrowDown");
  }
  return false;
}

export function press(event) {
  if (event.ctrlKey || event.metaKey || event.isComposing) {
    return;
  }
  if (isDone(event, lines.lineOf(event.target), event.target)) {
    event.preventDefault();
  }
}

/* Several pasted lines become several steps. */
export function paste(event) {
  const pasted = pastedLines(event.clipboardData ? event.clipboardData.getData("text/plain") : "");
  const field = event.target;
  const line = lines.lineOf(field);
  if (pasted.length < 2 || depthOf(before(field)) > 0) {
    return;
  }
  event.preventDefault();
  const rest = field.value.slice(field.selectionEnd);
  let last = line;
  pasted.forEach(function (one, place) {
    const goesHere = place === 0 && one.kind === line.dataset.kind;
    if (goesHere) {
      field.value = before(field) + one.text;
    } else if (last) {
      last = addAfter(last, one) || last;
    }
  });
  if (last === line) {
    field.value += rest;
  } else {
    const end = lines.fieldOf(last).value.length;
    lines.fieldOf(last).value += rest;
    lines.number();
    lines.focus(last, end);
  }
  announce(pasted.length + " lines were put in.");
}
