/* What a tester types is never lost: it is kept on the phone as it is typed, and what was sent off waits there
   until the studio has it, through a lost connection, a reload and a new sign-in. Sending twice does no harm: the
   studio keeps each answer once. Everything works without this, as plain forms. */

import { sendOff } from "./making/answers.js";
import { keepDraft } from "./making/drafts.js";
import { leaveBy } from "./making/leaving.js";
import { also, showTold, tell } from "./making/line.js";
import { isErased, NOTE, own } from "./making/memory.js";
import { offerCamera } from "./making/photos.js";
import { keepQuestions } from "./making/questions.js";
import { renewPages } from "./making/renewing.js";
import { flushQuietly } from "./making/sending.js";
import { chooseStep, offerStepHelps } from "./making/step_helps.js";

const AGAIN_MS = 15000;

let busy = false;

/* Also of forms that came into the page later, when it was renewed. */
document.addEventListener("submit", function (event) {
  const box = event.target.closest("[data-keep]");
  if (!box) {
    return;
  }
  event.preventDefault();
  if (busy) {
    return;
  }
  busy = true;
  sendOff(event.target, box.dataset.keep === "adds").finally(function () {
    busy = false;
  });
});

document.querySelectorAll("[data-keep]").forEach(function (box) {
  const form = box.querySelector("[data-question] form");
  if (!form) {
    return;
  }
  keepDraft(form, box.dataset.keep === "adds");
  chooseStep(form);
  offerStepHelps(form);
});

document.querySelectorAll("[data-keep] input[type=file]").forEach(offerCamera);

document.querySelectorAll('form[action="' + own.signout + '"]').forEach(leaveBy);

window.addEventListener("online", flushQuietly);
window.addEventListener("storage", function () {
  if (isErased()) {
    tell(); // another window has just erased everything
  }
});
window.setInterval(flushQuietly, AGAIN_MS);
tell("later");
const note = window.sessionStorage.getItem(NOTE);
if (note) {
  window.sessionStorage.removeItem(NOTE);
  const said = JSON.parse(note);
  also(said.words);
  showTold(said.told);
  renewPages([said.page]);
}
flushQuietly();
keepQuestions().catch(function () {
  /* a browser that keeps no pages: they need a connection */
});
