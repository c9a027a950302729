/* Sending: one after the other, in the order in which they were sent off. */

import { also, link, tell } from "./line.js";
import { change, findPicture, forgetPicture, own, unsent, UNSENT } from "./memory.js";

const PATIENCE_MS = 30000;

function cookie(name) {
  const found = document.cookie.split("; ").find(function (one) {
    return one.startsWith(name + "=");
  });
  return found ? found.slice(name.length + 1) : "";
}

export async function request(address, options) {
  const stop = new AbortController();
  const clock = window.setTimeout(function () {
    stop.abort();
  }, PATIENCE_MS);
  try {
    return await fetch(address, Object.assign({ credentials: "same-origin", signal: stop.signal }, options));
  } catch {
    return null;
  } finally {
    window.clearTimeout(clock);
  }
}

async function bodyOf(item) {
  const body = new FormData();
  item.fields.forEach(function (field) {
    body.append(field[0], field[1]);
  });
  if (item.file) {
    const kept = await findPicture(item.id);
    if (kept) {
      body.append(item.file.field, await kept.blob(), item.file.name);
    }
  }
  return body;
}

async function post(item) {
  return request(item.path, {
    method: "POST",
    body: await bodyOf(item),
    headers: { "X-CSRFToken": cookie("csrftoken") },
  });
}

async function send(item) {
  let answer = await post(item);
  if (answer && answer.status === 403) {
    await request(own.home, {}); // a fresh key for forms, after a new sign-in or when the old one is gone
    answer = await post(item);
  }
  if (!answer || answer.status >= 500 || answer.status === 429 || answer.status === 403) {
    return { state: "later" };
  }
  if (answer.redirected && new URL(answer.url).pathname.startsWith(own.login)) {
    return { state: "signed out" };
  }
  return { state: answer.ok && answer.redirected ? "sent" : "refused", url: answer.url };
}

async function sendAll() {
  const results = new Map();
  for (const item of unsent().filter(function (one) {
    return !one.refused;
  })) {
    const result = await send(item);
    results.set(item.id, Object.assign({ item: item }, result));
    if (result.state === "sent") {
      change(item.id, function () {
        return null;
      });
      await forgetPicture(item.id);
    } else if (result.state === "refused") {
      change(item.id, function (one) {
        return Object.assign(one, { refused: true });
      });
    } else {
      results.stopped = result.state;
      break;
    }
  }
  return results;
}

let running = Promise.resolve();

export function flush() {
  // One tab at a time where the browser can see to it.
  running = running.then(function () {
    return navigator.locks ? navigator.locks.request(UNSENT, sendAll) : sendAll();
  });
  return running;
}

export async function flushQuietly() {
  if (
    !unsent().some(function (item) {
      return !item.refused;
    })
  ) {
    return;
  }
  const results = await flush();
  const sent = Array.from(results.values()).filter(function (result) {
    return result.state === "sent";
  });
  tell(results.stopped);
  if (sent.length && !results.stopped) {
    also(
      sent.length === 1
        ? "Sent: what was kept on this phone. "
        : "Sent: " + sent.length + " answers that were kept on this phone. ",
      link("Go on", sent[sent.length - 1].url),
    );
  }
}
