/* The page as printed beside the text: asked of the server a moment after the last key, but not within a name that is
   still being chosen; and kept where the caret is. */

import * as lines from "./lines.js";
import { isOffering } from "./names.js";

const WAIT_MS = 350;
const form = document.getElementById("text-form");
const page = document.getElementById("text-printed");

let waiting = 0;
let asking = null;
let here = null;

export function askSoon(wait) {
  window.clearTimeout(waiting);
  waiting = window.setTimeout(ask, wait === undefined ? WAIT_MS : wait);
}

async function ask() {
  if (isOffering()) {
    askSoon();
    return;
  }
  if (asking) {
    asking.abort();
  }
  asking = new AbortController();
  const sent = lines.all();
  try {
    const answer = await fetch(form.dataset.preview, {
      method: "POST",
      body: new FormData(form),
      signal: asking.signal,
    });
    if (answer.ok && !answer.redirected) {
      show(new DOMParser().parseFromString(await answer.text(), "text/html"), sent);
    }
  } catch {
    /* asked again, or no connection: what was printed last stays */
  }
}

function show(answer, sent) {
  const printed = answer.getElementById("text-printed");
  if (!printed) {
    return;
  }
  page.replaceChildren(...printed.childNodes);
  const found = new Map();
  answer.querySelectorAll("[data-found]").forEach(function (one) {
    found.set(Number(one.dataset.found), one);
  });
  sent.forEach(function (line, place) {
    const one = found.get(place);
    line.querySelector(".line-found").replaceChildren(...(one ? one.childNodes : []));
    lines.fieldOf(line).toggleAttribute("aria-invalid", false);
    if (one && "stops" in one.dataset) {
      lines.fieldOf(line).setAttribute("aria-invalid", "true");
    }
  });
  follow(here);
}

/* Mark where the caret is on the printed page, and bring it into sight there. */
export function follow(line) {
  here = line;
  page.querySelectorAll(".is-here").forEach(function (one) {
    one.classList.remove("is-here");
  });
  const place = line && line.isConnected ? lines.all().indexOf(line) : -1;
  const printed = page.querySelector('[data-printed="' + place + '"]');
  if (!printed) {
    return;
  }
  printed.classList.add("is-here");
  if (page.scrollHeight > page.clientHeight + 1) {
    const top = printed.getBoundingClientRect().top - page.getBoundingClientRect().top + page.scrollTop;
    const isSeen = top >= page.scrollTop && top + printed.offsetHeight <= page.scrollTop + page.clientHeight;
    if (!isSeen) {
      page.scrollTop = Math.max(0, top - page.clientHeight / 4);
    }
  }
}
