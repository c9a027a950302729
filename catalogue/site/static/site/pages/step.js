/* Writing a step: names are completed after an opening brace, and what is typed keeps itself, here and on the
   server, until it is saved. Everything works without this: the names stand in a list below the form. */
"use strict";
(function () {
  const form = document.getElementById("step-form");
  const field = document.getElementById("id_text");
  const state = document.getElementById("draft-state");
  if (!form || !field) {
    return;
  }

  /* Where the caret stood: a shaping that is made beside the text is written there. */
  const caret = document.getElementById("caret");
  field.addEventListener("blur", function () {
    if (caret) {
      caret.value = field.selectionStart;
    }
  });

  /* Completion: a list below the field, moved through by arrow keys, taken by Enter or Tab, left by Escape. */
  const names = Array.from(document.querySelectorAll("#names li")).map(function (item) {
    return { name: item.dataset.name, label: item.querySelector("span").textContent };
  });
  const list = document.createElement("ul");
  list.id = "completions";
  list.className = "completions";
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "Names");
  list.hidden = true;
  field.after(list);
  field.setAttribute("aria-controls", "completions");
  field.setAttribute("aria-autocomplete", "list");
  let chosen = 0;

  function begun() {
    const before = field.value.slice(0, field.selectionStart);
    const found = /(?:^|[^{])\{([a-z][a-z0-9_ ]*)?$/.exec(before);
    return found && field.selectionStart === field.selectionEnd ? found[1] || "" : null;
  }

  function close() {
    list.hidden = true;
    list.replaceChildren();
    field.removeAttribute("aria-activedescendant");
  }

  function mark(place) {
    const options = Array.from(list.children);
    if (!options.length) {
      return;
    }
    chosen = (place + options.length) % options.length;
    options.forEach(function (option, at) {
      option.setAttribute("aria-selected", String(at === chosen));
    });
    field.setAttribute("aria-activedescendant", options[chosen].id);
    options[chosen].scrollIntoView({ block: "nearest" });
  }

  function take(name) {
    const start = field.selectionStart - begun().length;
    const rest = field.value.slice(field.selectionStart);
    const closing = rest.startsWith("}") ? "" : "}";
    field.setRangeText(name + closing, start, field.selectionStart, "end");
    if (!closing) {
      field.selectionStart = field.selectionEnd = field.selectionEnd + 1;
    }
    close();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function offer() {
    const typed = begun();
    if (typed === null) {
      close();
      return;
    }
    const first = names.filter(function (one) {
      return one.name.startsWith(typed);
    });
    const rest = names.filter(function (one) {
      return !one.name.startsWith(typed) && (one.name + " " + one.label.toLowerCase()).includes(typed);
    });
    const offered = first.concat(rest).slice(0, 12);
    list.replaceChildren(
      ...offered.map(function (one, at) {
        const option = document.createElement("li");
        option.id = "completion-" + at;
        option.setAttribute("role", "option");
        option.dataset.name = one.name;
        option.textContent = one.name + " – " + one.label;
        return option;
      }),
    );
    list.hidden = !offered.length;
    mark(0);
  }

  field.addEventListener("input", offer);
  field.addEventListener("blur", function () {
    window.setTimeout(close, 200);
  });
  field.addEventListener("keydown", function (event) {
    if (list.hidden) {
      return;
    }
    if (event.key === "ArrowDown") {
      mark(chosen + 1);
    } else if (event.key === "ArrowUp") {
      mark(chosen - 1);
    } else if (event.key === "Enter" || event.key === "Tab") {
      take(list.children[chosen].dataset.name);
    } else if (event.key === "Escape") {
      close();
    } else {
      return;
    }
    event.preventDefault();
  });
  list.addEventListener("mousedown", function (event) {
    const option = event.target.closest("li");
    event.preventDefault();
    if (option) {
      take(option.dataset.name);
    }
  });

  /* Drafts: here at once, on the server a second after the last key; what is newer is never overwritten. */
  const key = "evenrow-draft " + form.dataset.key;
  let waiting = 0;

  function store(text) {
    try {
      if (text === null) {
        window.localStorage.removeItem(key);
      } else {
        window.localStorage.setItem(key, text);
      }
    } catch {
      /* a browser that keeps nothing: the server keeps it */
    }
  }

  function stored() {
    try {
      return window.localStorage.getItem(key);
    } catch {
      return null;
    }
  }

  async function send() {
    const answer = await fetch(form.dataset.draft, { method: "POST", body: new FormData(form) }).catch(
      function () {
        return null;
      },
    );
    state.textContent =
      answer && answer.ok
        ? "Kept as a draft, not saved yet."
        : "Kept in this browser; the studio can't be reached.";
    if (answer && answer.ok) {
      store(null);
    }
  }

  field.addEventListener("input", function () {
    store(field.value);
    window.clearTimeout(waiting);
    waiting = window.setTimeout(send, 1000);
  });
  form.addEventListener("submit", function () {
    window.clearTimeout(waiting);
  });

  const left = stored();
  if (left !== null && left !== field.value) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn btn-secondary btn-sm";
    button.textContent = "Take up what this browser kept";
    button.addEventListener("click", function () {
      field.value = left;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      button.remove();
    });
    state.after(button);
  }
})();
