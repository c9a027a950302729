/* Which step a remark or a count is about, and at which help somebody was stuck. */

import { isRefused } from "./drafts.js";

/* A step that the address names is chosen: the address says it, of an older draft the words stay. */
export function chooseStep(form) {
  const asked = /^\d+\.\d+$/.exec(new URLSearchParams(window.location.search).get("step") || "");
  const steps = form.elements.namedItem("place") || form.elements.namedItem("row");
  if (!asked || !steps || isRefused(form)) {
    return;
  }
  const place = asked[0].replace(/(\d+)\.(\d+)/, "sections[$1].steps[$2]");
  const found = Array.from(steps.options).filter(function (one) {
    return one.value === place || one.value.startsWith(asked[0] + ".");
  });
  if (found.length && !found.includes(steps.selectedOptions[0])) {
    steps.value = found[0].value;
  }
}

/* At which help somebody was stuck: only the helps of the chosen step are offered, and nothing where it has none. */
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
