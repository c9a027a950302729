/* The instructions written as one text. Everything works without this, as a form with a field for each step. */

import { inBlock } from "./text/blocks.js";
import * as drafts from "./text/drafts.js";
import * as history from "./text/history.js";
import * as keys from "./text/keys.js";
import * as lines from "./text/lines.js";
import * as names from "./text/names.js";
import * as printed from "./text/printed.js";

const form = document.getElementById("text-form");
const holder = document.getElementById("text-lines");
const state = document.getElementById("text-state");

let here = null;

function tell(words) {
  state.textContent = words;
}

/* After each change: it can be taken back, it is kept, and it prints. */
function changed(isTyping) {
  history.keep(isTyping === true);
  drafts.keepDraft();
  printed.askSoon();
}

function standIn(line) {
  if (here && here !== line) {
    here.classList.remove("is-here");
  }
  here = line;
  line.classList.add("is-here");
  printed.follow(line);
}

function takeBack(isAgain) {
  const isDone = isAgain ? history.redo() : history.undo();
  if (isDone) {
    drafts.keepDraft();
    printed.askSoon();
  }
  tell(isDone ? (isAgain ? "Done again." : "Taken back.") : "There is nothing more.");
}

/* A number typed in a step becomes the name of its value. */
function writeReference(line, sent) {
  const field = lines.fieldOf(line);
  const parts = sent.split("|");
  const reference = parts.at(-1);
  const source = parts.slice(2, -1).join("|");
  const start = Array.from(field.value).slice(0, Number(parts[1])).join("").length;
  if (field.value.startsWith(source, start)) {
    field.setRangeText(reference, start, start + source.length, "end");
    field.focus();
    changed();
    tell(reference + " stands in place of " + source + ".");
  } else {
    tell("That number does not stand there any more.");
  }
}

function quoted(word) {
  return /^[A-Za-z0-9]+$/.test(word) ? word : '"' + word + '"';
}

function blockWords() {
  const from = form.elements.block_from;
  const to = form.elements.block_to;
  const places = [from.selectedIndex, to.selectedIndex].toSorted(function (one, other) {
    return one - other;
  });
  const labels = places.map(function (place) {
    return quoted(from.options[place].value);
  });
  const sizes = labels[0] === labels[1] ? labels[0] : labels.join("..");
  return form.elements.block.value || "only sizes=" + sizes;
}

function putInBlock(line) {
  if (lines.isTitle(line)) {
    tell("A title stands in no block: choose what its section is printed for beside it.");
    return;
  }
  const field = lines.fieldOf(line);
  const made = inBlock(field.value, field.selectionStart, field.selectionEnd, blockWords());
  field.value = made.text;
  lines.focus(line, made.caret);
  changed();
  tell("It stands in a block now.");
}

const ACTS = {
  up: (line) => keys.moveLine(line, false),
  down: (line) => keys.moveLine(line, true),
  out: (line) => keys.takeOut(line),
  step: (line) => keys.addStep(line, ""),
  section: (line) => keys.addSection(line),
  block: putInBlock,
};

holder.addEventListener("click", function (event) {
  const button = event.target.closest("button");
  const line = button && lines.lineOf(button);
  if (line && button.name === "act") {
    event.preventDefault();
    ACTS[button.value.split("-")[0]](line);
  } else if (line && button.name === "number") {
    event.preventDefault();
    writeReference(line, button.value);
  }
});

const TOOLS = {
  undo: () => takeBack(false),
  redo: () => takeBack(true),
  value: (line) => names.offerValues(lines.fieldOf(line)),
  ...ACTS,
};

form.addEventListener("click", function (event) {
  const tool = event.target.closest("[data-do]");
  if (tool) {
    TOOLS[tool.dataset.do](here && here.isConnected ? here : lines.all().at(-1));
  }
});

holder.addEventListener("focusin", function (event) {
  standIn(lines.lineOf(event.target));
  if (event.target.matches("textarea")) {
    names.offerIn(event.target);
  }
});
holder.addEventListener("focusout", function () {
  window.setTimeout(function () {
    if (!holder.contains(document.activeElement)) {
      names.closeList();
    }
  }, 200);
});

holder.addEventListener("input", function (event) {
  const field = event.target;
  const line = lines.lineOf(field);
  if (field.matches("textarea") && !lines.isTitle(line) && field.value.startsWith("# ")) {
    keys.changeKind(line, "title", field.value.slice(2));
    return;
  }
  if (lines.isTitle(line)) {
    lines.number();
  } else if (field.matches("textarea")) {
    lines.grow(field);
  }
  changed(true);
});

holder.addEventListener("keydown", function (event) {
  if (event.target.matches("textarea") && !names.isForList(event)) {
    history.standAt();
    keys.press(event);
  }
});
holder.addEventListener("paste", function (event) {
  if (event.target.matches("textarea")) {
    keys.paste(event);
  }
});

form.addEventListener("keydown", function (event) {
  const key = (event.ctrlKey || event.metaKey) && !event.altKey ? event.key.toLowerCase() : "";
  if (key === "z" || key === "y") {
    event.preventDefault();
    takeBack(key === "y" || event.shiftKey);
  } else if (key === "s") {
    event.preventDefault();
    form.requestSubmit();
  }
});
form.querySelector(".edition").addEventListener("change", () => printed.askSoon(0));
form.addEventListener("submit", function () {
  const field = here && lines.fieldOf(here);
  drafts.sending(field ? [lines.all().indexOf(here), field.selectionStart] : null);
});

form.classList.add("is-live");
form.querySelector(".text-live").hidden = false;
form.querySelector(".edition button").hidden = true;
keys.begin(changed, tell);
lines.number();
history.begin();
drafts.offerDraft(function (text) {
  lines.write(text);
  changed();
});
const place = drafts.placeLeft();
if (place && lines.all()[place[0]]) {
  lines.focus(lines.all()[place[0]], place[1]);
}
