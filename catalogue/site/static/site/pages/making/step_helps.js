/* At which help somebody was stuck: only the helps of the chosen step are offered, and nothing where it has none. */

import { isRefused } from "./drafts.js";

export function offerStepHelps(form) {
  const helps = form.querySelector("[data-step-helps]");
  const steps = form.elements.namedItem("place");
  if (!helps || !steps) {
    return;
  }
  const asked = new URLSearchParams(window.location.search).get("help");
  const codes = JSON.parse(helps.dataset.stepHelps);
  const place = Object.keys(codes).find(function (one) {
    return codes[one].includes(asked);
  });
  if (place && !isRefused(form)) {
    // the address says it: of an older draft the words stay
    if (!(codes[steps.value] || []).includes(asked)) {
      steps.value = place;
    }
    helps.value = asked;
  }
  function offer() {
    const here = codes[steps.value] || [];
    Array.from(helps.options).forEach(function (one) {
      one.hidden = one.disabled = Boolean(one.value) && !here.includes(one.value);
    });
    if (helps.value && !here.includes(helps.value)) {
      helps.value = "";
    }
    helps.parentElement.hidden = !here.length;
  }
  steps.addEventListener("change", offer);
  form.addEventListener("reset", function () {
    window.setTimeout(offer);
  });
  offer();
}
