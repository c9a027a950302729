/* Answers: each is kept on the phone before it is sent off, and until the studio has it. */

import { fieldsOf, titleOf } from "./drafts.js";
import { say, sayBeside, tell } from "./line.js";
import { change, DRAFT, forgetPicture, isErased, NOTE, read, storeUnsent, unsent, write } from "./memory.js";
import { hasPicture, keepPicture, pictureFits, sayAtPicture } from "./photos.js";
import { flushFor } from "./sending.js";

async function keep(form, adds) {
  const path = new URL(form.action).pathname;
  const item = {
    id: Date.now() + "-" + Math.random().toString(36).slice(2),
    path: path,
    page: window.location.pathname,
    title: titleOf(),
    fields: fieldsOf(form),
    file: null,
  };
  if (!(await keepPicture(form, item))) {
    return null;
  }
  const rest = unsent().filter(function (one) {
    return adds ? !one.refused || one.path !== path : one.path !== path;
  });
  return storeUnsent(rest.concat([item])) ? item : null;
}

export async function sendOff(form, adds) {
  if (isErased()) {
    tell("waiting");
    return;
  }
  const before = unsent();
  if (hasPicture(form)) {
    sayBeside(form);
    say("Keeping the photo on this phone …");
  }
  const item = await keep(form, adds);
  if (!(await pictureFits(form))) {
    storeUnsent(before);
    if (item) {
      await forgetPicture(item.id);
    }
    tell("waiting");
    return;
  }
  if (!item) {
    form.submit();
    return;
  } // nothing can be kept here: as a plain form
  const typed = read(DRAFT + item.path);
  write(DRAFT + item.path, null);
  say("Sending …");
  const results = await flushFor(item);
  const result = results.get(item.id);
  if (result && result.state === "sent") {
    try {
      const note = { words: form.dataset.done || "Sent.", told: result.told, page: item.page };
      window.sessionStorage.setItem(NOTE, JSON.stringify(note));
    } catch {
      /* the page itself shows it */
    }
    window.location.assign(result.url);
  } else if (result && result.state === "refused") {
    change(item.id, function () {
      return null;
    });
    await forgetPicture(item.id);
    write(DRAFT + item.path, typed || { title: item.title, fields: item.fields });
    if (result.says) {
      tell("waiting");
      sayAtPicture(form, result.says);
    } else {
      form.submit(); // shows the sentence that says why
    }
  } else {
    if (adds) {
      form.reset();
    }
    tell(results.stopped || "later");
  }
}
