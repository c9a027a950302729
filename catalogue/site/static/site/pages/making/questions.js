/* The questions can be read without a connection: each that is still unknown here is fetched once. */

import { openPages, own, PAGES, QUESTIONS_OF, read, write } from "./memory.js";
import { request } from "./requests.js";

export async function keepQuestions() {
  if (!window.caches || !navigator.serviceWorker) {
    return;
  }
  if (read(QUESTIONS_OF) !== own.person) {
    await caches.delete(PAGES);
    write(QUESTIONS_OF, own.person);
  }
  await navigator.serviceWorker.register(own.worker, { scope: own.home });
  const pages = await openPages();
  const questions = Array.from(document.querySelectorAll("[data-questions] a"));
  if (!questions.length || !pages) {
    return;
  }
  const looks = Array.from(document.querySelectorAll("link[href], script[src]"));
  const addresses = questions.concat(looks).map(function (one) {
    return one.href || one.src;
  });
  for (const address of addresses.concat([
    window.location.href,
    new URL(own.home, window.location.href).href,
  ])) {
    if (await pages.match(address, { ignoreVary: true })) {
      continue;
    }
    const answer = await request(address, {});
    if (!answer) {
      return;
    }
    if (answer.ok && !answer.redirected) {
      await pages.put(address, answer);
    }
  }
  document.documentElement.dataset.questionsKept = "";
}
