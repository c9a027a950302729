/* Signing out takes everything from the phone: first what waits is sent, and what can't be is told. */

import { also, line, tell } from "./line.js";
import { drafts, forgetAll, unsent } from "./memory.js";
import { flush } from "./sending.js";

let warned = false;

export function leaveBy(form) {
  form.addEventListener("submit", async function (event) {
    event.preventDefault();
    const results = await flush();
    if ((unsent().length || drafts().length) && !warned) {
      warned = true;
      tell(results.stopped || "waiting");
      also("Signing out deletes from this phone what has not been sent. Press “Sign out” again to do so.");
      line.scrollIntoView({ block: "nearest" });
      return;
    }
    await forgetAll();
    form.submit();
  });
}
