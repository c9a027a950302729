/* Once an answer has gone, pages that were opened before it show what the studio has now: the page that stands open,
   and the one that is kept for a time without a connection. Else the next answer would meet this one as a change. */

import { keptPages } from "./memory.js";
import { request } from "./requests.js";

export async function renewPages(paths) {
  for (const path of new Set(paths)) {
    await renew(path);
  }
}

async function renew(path) {
  const address = new URL(path, window.location.href).href;
  const pages = window.caches ? await keptPages() : null;
  const isKept = Boolean(pages && (await pages.match(address, { ignoreVary: true })));
  const isOpen = path === window.location.pathname;
  if (!isKept && !isOpen) {
    return;
  }
  const answer = await request(address, {});
  if (!answer || !answer.ok || answer.redirected) {
    return;
  }
  if (isKept) {
    await pages.put(address, answer.clone());
  }
  if (isOpen) {
    show(new DOMParser().parseFromString(await answer.text(), "text/html"));
  }
}

/* What is being typed stays; what was seen, and how far one is, are those of now. */
function show(fresh) {
  document.querySelectorAll("[data-renewed]").forEach(function (part) {
    const now = fresh.querySelector('[data-renewed="' + part.dataset.renewed + '"]');
    if (now) {
      part.replaceChildren(...now.childNodes);
    }
  });
  const seen = document.querySelector("[data-question] input[name=seen]");
  const now = fresh.querySelector("[data-question] input[name=seen]");
  if (seen && now) {
    seen.value = now.value;
  }
}
