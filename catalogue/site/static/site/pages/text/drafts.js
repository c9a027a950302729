/* What is typed keeps itself in this browser until it is saved, and is offered again; a word before leaving. */

import { offerAbove } from "../draft_offer.js";
import * as lines from "./lines.js";

const form = document.getElementById("text-form");
const key = "evenrow-text " + form.dataset.key;
const placeKey = "evenrow-text-place " + form.dataset.key;
const revision = form.elements.revision;

let isTyped = "unsaved" in form.dataset;
let isSent = false;

function store(sent) {
  const kept = {
    revision: revision.value,
    sent: sent,
    at: new Date().toLocaleString(),
    text: lines.read(),
  };
  try {
    window.localStorage.setItem(key, JSON.stringify(kept));
  } catch {
    /* a browser that keeps nothing */
  }
}

function forget() {
  try {
    window.localStorage.removeItem(key);
  } catch {
    /* nothing was kept */
  }
}

function keptDraft() {
  try {
    return JSON.parse(window.localStorage.getItem(key));
  } catch {
    return null;
  }
}

export function keepDraft() {
  isTyped = true;
  store(false);
}

/* The form is sent: to be saved, or to a page that takes the text along. */
export function sending(place) {
  isSent = true;
  store(true);
  window.sessionStorage.setItem(placeKey, JSON.stringify(place));
}

export function placeLeft() {
  const place = window.sessionStorage.getItem(placeKey);
  window.sessionStorage.removeItem(placeKey);
  return place ? JSON.parse(place) : null;
}

/* Offer what was kept, unless it was saved meanwhile or says what stands here. */
export function offerDraft(take) {
  if (isTyped) {
    store(false);
    return;
  }
  const draft = keptDraft();
  if (!draft) {
    return;
  }
  const isSaved = draft.sent && draft.revision !== revision.value;
  if (isSaved || JSON.stringify(draft.text) === JSON.stringify(lines.read())) {
    forget();
  } else {
    offerAbove(
      form,
      draft.at,
      function () {
        revision.value = draft.revision;
        take(draft.text);
      },
      forget,
    );
  }
}

window.addEventListener("beforeunload", function (event) {
  if (isTyped && !isSent) {
    event.preventDefault();
  }
});
