/* The line at the head of a page: what is kept on this phone, in words. */

import { change, drafts, forgetPicture, isErased, own, unsent } from "./memory.js";

const ERASED =
  "Everything about you was erased. What you type here is not sent and not kept. You can close this window.";
const LATER = "Kept on this phone; it will be sent when the connection is back.";

export const line = document.createElement("div");
line.id = "kept";
line.className = "kept no-print";
line.setAttribute("role", "status");
document.getElementById("main").prepend(line);

export function link(words, address) {
  const one = document.createElement("a");
  one.href = address;
  one.textContent = words;
  return one;
}

export function say(...parts) {
  const words = document.createElement("p");
  words.append(...parts);
  line.replaceChildren(words);
}

export function also(...parts) {
  const words = document.createElement("p");
  words.append(...parts);
  line.append(words);
}

/* What the studio said of an answer, as its own pages show it. */
export function showTold(told) {
  if (!told.length) {
    return;
  }
  const box = document.createElement("div");
  box.className = "messages no-print";
  box.setAttribute("role", "status");
  told.forEach(function (one) {
    const words = document.createElement("p");
    words.className = one.kind;
    words.textContent = one.words;
    box.append(words);
  });
  line.after(box);
}

export function plainButton(words, act) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "btn btn-outline-primary";
  button.textContent = words;
  button.addEventListener("click", act);
  return button;
}

function forgetButton(item) {
  return plainButton("Throw it away", async function () {
    change(item.id, function () {
      return null;
    });
    await forgetPicture(item.id);
    tell("waiting");
  });
}

/* How far a photo is, as a share: said once, then drawn. */
export function progress(share) {
  let bar = document.querySelector("#kept progress");
  if (!bar) {
    say("Sending the photo. You can go on meanwhile: answers go first.");
    bar = document.createElement("progress");
    bar.setAttribute("aria-label", "Sent of the photo");
    line.append(bar);
  }
  bar.value = share;
}

/* The line beside the button that was pressed, where somebody looks who has just pressed it. */
export function sayBeside(form) {
  form.querySelector("[type=submit]").after(line);
}

export function tell(state) {
  document.getElementById("main").prepend(line);
  line.replaceChildren();
  if (isErased()) {
    say(ERASED);
    return;
  }
  const items = unsent();
  const waiting = items.filter(function (item) {
    return !item.refused;
  });
  if (waiting.length && state === "signed out") {
    say(
      "Kept on this phone. You are signed out: ",
      link("sign in", own.signin + "?next=" + encodeURIComponent(window.location.pathname)),
      " and it is sent.",
    );
  } else if (!state) {
    // nothing has failed: what waits is on its way
  } else if (waiting.length === 1) {
    say(LATER);
  } else if (waiting.length) {
    say(waiting.length + " answers are kept on this phone; they will be sent when the connection is back.");
  }
  items
    .filter(function (item) {
      return item.refused;
    })
    .forEach(function (item) {
      also(
        "Not taken yet, and kept on this phone. Please look at it again: ",
        link(item.title, item.page),
        " ",
        forgetButton(item),
      );
    });
  drafts()
    .filter(function (draft) {
      return draft.path !== window.location.pathname;
    })
    .forEach(function (draft) {
      also("Typed on this phone and not sent yet: ", link(draft.title, draft.path));
    });
}
