/* The sheet edited in place: keys, ranges, the clipboard, lines, undoing; what would change is asked of the server,
   everything else is answered here. Without this the sheet is a plain table with links to forms. */

import { bind } from "./sheet/gestures.js";
import * as history from "./sheet/history.js";
import { withBatch } from "./sheet/lines.js";
import { choose, isShown } from "./sheet/places.js";
import * as server from "./sheet/server.js";
import { changes, data, draftKey, element, state, table, tools, width } from "./sheet/state.js";
import { readTable } from "./sheet/table.js";
import * as told from "./sheet/told.js";

function restore() {
  const kept = window.localStorage.getItem(draftKey);
  if (kept) {
    const found = JSON.parse(kept);
    const laid = withBatch(state.saved, found.batch, width);
    state.saved = laid.saved;
    history.take(laid.lines);
    if (changes.firstChild) {
      told.tellLeft();
    }
  }
  const at = window.sessionStorage.getItem(draftKey + ":at");
  if (at) {
    window.sessionStorage.removeItem(draftKey + ":at");
    const chosen = JSON.parse(at);
    choose(chosen.from, chosen.to);
    sayHere();
  }
}

/* The message of a save stands at the top of the page: it is said here, too, where the eyes are. */
function sayHere() {
  const message = document.querySelector(".messages .message");
  if (message && !changes.firstChild) {
    changes.append(element("p", message.textContent.trim().replace(/\s+/g, " ")));
  }
}

readTable();
table.setAttribute("role", "grid");
table.setAttribute("aria-multiselectable", "true");
tools.hidden = false;
/* The button of the form undoes what was saved; that of the tools does both. */
const undoForm = document.querySelector("form[action='" + data.addresses.undo + "']");
if (undoForm) {
  undoForm.hidden = true;
}
const first = Array.from(table.querySelectorAll("tbody td")).find(isShown);
if (first) {
  first.tabIndex = 0;
}
table.querySelectorAll("tbody a").forEach(function (link) {
  link.tabIndex = -1;
});
table.parentElement.removeAttribute("tabindex");
history.begin(server.preview);
told.begin({
  save: server.save,
  discard: server.discard,
  settle: server.settle,
  takeBack: server.takeBack,
});
bind();
restore();
