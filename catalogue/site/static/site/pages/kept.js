/* What is typed into the form of an entry keeps itself in this browser, by the form's address, until it is saved;
   a word before leaving. Everything works without this. */

import { offerAbove } from "./draft_offer.js";
import { growTo } from "./growing_rows.js";

const PASSED_OVER = new Set(["csrfmiddlewaretoken", "revision", "was", "keep_anyway", "seen"]);
let isSent = false;
let isTyped = false;

function keyOf(form) {
  return "evenrow-typed " + new URL(form.action || window.location.href).pathname;
}

function fieldsOf(form) {
  return Array.from(form.elements).filter(function (field) {
    return field.name && !PASSED_OVER.has(field.name) && field.type !== "submit" && field.type !== "file";
  });
}

function contentOf(field) {
  return field.type === "checkbox" || field.type === "radio"
    ? [field.name, field.value, field.checked]
    : [field.name, field.value];
}

function revisionOf(form) {
  return form.elements.revision ? form.elements.revision.value : form.dataset.kept;
}

function store(form, sent) {
  const kept = {
    revision: revisionOf(form),
    sent: sent,
    at: new Date().toLocaleString(),
    fields: fieldsOf(form).map(contentOf),
  };
  try {
    window.localStorage.setItem(keyOf(form), JSON.stringify(kept));
  } catch {
    /* a browser that keeps nothing */
  }
}

function forget(form) {
  try {
    window.localStorage.removeItem(keyOf(form));
  } catch {
    /* nothing was kept */
  }
}

function keptOf(form) {
  try {
    return JSON.parse(window.localStorage.getItem(keyOf(form)));
  } catch {
    return null;
  }
}

function differs(form, kept) {
  return JSON.stringify(fieldsOf(form).map(contentOf)) !== JSON.stringify(kept.fields);
}

function takeUp(form, kept) {
  kept.fields.forEach(function (content) {
    growTo(form, content[0]);
  });
  const fields = fieldsOf(form);
  kept.fields.forEach(function (content) {
    const field = fields.find(function (one) {
      return one.name === content[0] && (content.length === 2 || one.value === content[1]);
    });
    if (!field) {
      return;
    }
    if (content.length === 3) {
      field.checked = content[2];
    } else {
      field.value = content[1];
    }
  });
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

document.querySelectorAll("[data-kept-words]").forEach(function (words) {
  words.hidden = false;
});

document.querySelectorAll("form[data-kept]").forEach(function (form) {
  const kept = keptOf(form);
  if (!kept) {
    return;
  }
  if (kept.sent && kept.revision !== revisionOf(form)) {
    forget(form);
  } else if (differs(form, kept)) {
    offerAbove(
      form,
      kept.at,
      function () {
        takeUp(form, kept);
      },
      function () {
        forget(form);
      },
    );
  }
});

document.addEventListener("input", function (event) {
  const form = event.target.closest("form[data-kept]");
  if (form) {
    isTyped = true;
    store(form, false);
  }
});
document.addEventListener("submit", function (event) {
  isSent = true;
  if (event.target.matches("form[data-kept]")) {
    store(event.target, true);
  }
});
window.addEventListener("beforeunload", function (event) {
  if (isTyped && !isSent) {
    event.preventDefault();
  }
});
