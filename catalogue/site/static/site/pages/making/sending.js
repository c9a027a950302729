/* Sending: answers one after the other, in the order in which they were sent off; photos in a lane of their own, so
   that a small answer never waits for a large picture. */

import { also, link, showTold, tell } from "./line.js";
import { change, findPicture, forgetPicture, own, unsent, UNSENT } from "./memory.js";
import { sendPieces } from "./pieces.js";
import { renewPages } from "./renewing.js";
import { keyForForms, request } from "./requests.js";

async function post(item) {
  const body = new FormData();
  item.fields.forEach(function (field) {
    body.append(field[0], field[1]);
  });
  if (item.file && (await findPicture(item.id))) {
    body.set("kept", item.id);
  }
  return request(item.path, { method: "POST", body: body, headers: { "X-CSRFToken": keyForForms() } });
}

async function sendWhole(item) {
  if (item.file) {
    const sent = await sendPieces(item);
    if (!sent.whole) {
      return sent.answer;
    }
  }
  return post(item);
}

/* What the studio says of what was sent: it says so once, on the page that answers, and that one is never seen. */
async function toldIn(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return Array.from(page.querySelectorAll(".messages .message"))
    .map(function (one) {
      return { kind: one.className, words: one.textContent.replace(/\s+/g, " ").trim() };
    })
    .filter(function (one) {
      return one.words !== "Done. Sent."; // it is told here
    });
}

async function sentenceIn(answer) {
  const words = await answer.text();
  if ((answer.headers.get("content-type") || "").startsWith("text/plain")) {
    return words;
  }
  const page = new DOMParser().parseFromString(words, "text/html");
  const said = page.querySelector(".invalid-feedback");
  return said ? said.textContent.trim() : "";
}

async function send(item) {
  let answer = await sendWhole(item);
  if (answer && answer.status === 403) {
    await request(own.home, {}); // a fresh key for forms, after a new sign-in or when the old one is gone
    answer = await sendWhole(item);
  }
  if (!answer || answer.status >= 500 || answer.status === 429 || answer.status === 403) {
    return { state: "later" };
  }
  if (answer.redirected && new URL(answer.url).pathname.startsWith(own.login)) {
    return { state: "signed out" };
  }
  if (answer.ok && answer.redirected) {
    return { state: "sent", url: answer.url, told: await toldIn(answer) };
  }
  return { state: "refused", says: item.file ? await sentenceIn(answer) : "" };
}

async function sendAll(belongs) {
  const results = new Map();
  for (const item of unsent().filter(function (one) {
    return !one.refused && belongs(one);
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

/* One tab at a time where the browser can see to it. */
function lane(name, belongs) {
  let running = Promise.resolve();
  function go() {
    return sendAll(belongs);
  }
  return function () {
    running = running.then(function () {
      return navigator.locks ? navigator.locks.request(UNSENT + name, go) : go();
    });
    return running;
  };
}

function hasPhoto(item) {
  return Boolean(item.file);
}

const sendAnswers = lane(" answers", function (item) {
  return !hasPhoto(item);
});
const sendPhotos = lane(" photos", hasPhoto);

export function flushFor(item) {
  return hasPhoto(item) ? sendPhotos() : sendAnswers();
}

/* Everything, the small first. */
export async function flush() {
  const answers = await sendAnswers();
  if (answers.stopped) {
    return answers;
  }
  const photos = await sendPhotos();
  const results = new Map([...answers, ...photos]);
  results.stopped = photos.stopped;
  return results;
}

let quietly = false;

export async function flushQuietly() {
  if (
    quietly ||
    !unsent().some(function (item) {
      return !item.refused;
    })
  ) {
    return;
  }
  quietly = true;
  const results = await flush().finally(function () {
    quietly = false;
  });
  const sent = Array.from(results.values()).filter(function (result) {
    return result.state === "sent";
  });
  tell(results.stopped);
  if (sent.length && !results.stopped) {
    also(
      sent.length === 1
        ? "The answer that was kept on this phone has been sent. "
        : sent.length + " answers that were kept on this phone have been sent. ",
      link("Next question", sent[sent.length - 1].url),
    );
    sent.forEach(function (result) {
      showTold(result.told);
    });
  }
  if (sent.length) {
    const answered = sent.map(function (result) {
      return result.item.page;
    });
    await renewPages(answered.concat([window.location.pathname]));
  }
}
