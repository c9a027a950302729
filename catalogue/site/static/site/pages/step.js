/* Writing a step: names are completed after an opening brace, and what is typed keeps itself, here and on the
   server, until it is saved. Everything works without this: the names stand in a list below the form. */

import { attach, close, key, REFERENCE } from "./names_offered.js";

const form = document.getElementById("step-form");
const field = document.getElementById("id_text");
const state = document.getElementById("draft-state");

/* Where the caret stood: a shaping that is made beside the text is written there. */
const caret = document.getElementById("caret");
field.addEventListener("blur", function () {
  if (caret) {
    caret.value = field.selectionStart;
  }
});

/* Names are completed after an opening brace: labels are shown, names put in. */
const names = Array.from(document.querySelectorAll("#names li")).map(function (item) {
  return [item.dataset.name, item.querySelector("span").textContent, ""];
});
attach(field, names, REFERENCE);
field.addEventListener("keydown", key);
field.addEventListener("blur", function () {
  window.setTimeout(close, 200);
});

/* Drafts: here at once, on the server a second after the last key; what is newer is never overwritten. */
const draftKey = "evenrow-draft " + form.dataset.key;
let waiting = 0;

function store(text) {
  try {
    if (text === null) {
      window.localStorage.removeItem(draftKey);
    } else {
      window.localStorage.setItem(draftKey, text);
    }
  } catch {
    /* a browser that keeps nothing: the server keeps it */
  }
}

function stored() {
  try {
    return window.localStorage.getItem(draftKey);
  } catch {
    return null;
  }
}

async function send() {
  const answer = await fetch(form.dataset.draft, { method: "POST", body: new FormData(form) }).catch(
    function () {
      return null;
    },
  );
  state.textContent =
    answer && answer.ok
      ? "Kept as a draft, not saved yet."
      : "Kept in this browser; the studio can't be reached.";
  if (answer && answer.ok) {
    store(null);
  }
}

field.addEventListener("input", function () {
  store(field.value);
  window.clearTimeout(waiting);
  waiting = window.setTimeout(send, 1000);
});
form.addEventListener("submit", function () {
  window.clearTimeout(waiting);
});

const left = stored();
if (left !== null && left !== field.value) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "btn btn-secondary btn-sm";
  button.textContent = "Take up what this browser kept";
  button.addEventListener("click", function () {
    field.value = left;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    button.remove();
  });
  state.after(button);
}
