/* What a tester types is never lost: it is kept on the phone as it is typed, and what was sent off waits there
   until the studio has it, through a lost connection, a reload and a new sign-in. Sending twice does no harm: the
   studio keeps each answer once. Everything works without this, as plain forms. */
"use strict";
(function () {
  const own = document.currentScript.dataset;
  const PREFIX = "evenrow making " + own.person + " ";
  const UNSENT = PREFIX + "unsent";
  const DRAFT = PREFIX + "draft ";
  const PICTURES = PREFIX + "pictures";
  const PAGES = "evenrow making pages";
  const QUESTIONS_OF = "evenrow questions of";
  const NOTE = PREFIX + "note";
  const PATIENCE_MS = 30000;
  const AGAIN_MS = 15000;
  const LATER = "Kept on this phone; it will be sent when the connection is back.";

  /* The phone's memory: reading and writing fail where a browser keeps nothing. */
  function read(key) {
    try {
      return JSON.parse(window.localStorage.getItem(key));
    } catch {
      return null;
    }
  }

  function write(key, value) {
    try {
      if (value === null) {
        window.localStorage.removeItem(key);
      } else {
        window.localStorage.setItem(key, JSON.stringify(value));
      }
      return true;
    } catch {
      return false;
    }
  }

  function unsent() {
    return read(UNSENT) || [];
  }

  function storeUnsent(items) {
    return write(UNSENT, items.length ? items : null);
  }

  function change(id, how) {
    storeUnsent(
      unsent()
        .map(function (item) {
          return item.id === id ? how(item) : item;
        })
        .filter(Boolean),
    );
  }

  function drafts() {
    return Object.keys(window.localStorage)
      .filter(function (key) {
        return key.startsWith(DRAFT);
      })
      .map(function (key) {
        return Object.assign({ path: key.slice(DRAFT.length) }, read(key));
      });
  }

  function pictureKey(id) {
    return own.home + "kept-picture/" + id;
  }

  async function forgetPicture(id) {
    if (window.caches) {
      await (await caches.open(PICTURES)).delete(pictureKey(id));
    }
  }

  /* The line in words. */
  const line = document.createElement("div");
  line.id = "kept";
  line.className = "kept no-print";
  line.setAttribute("role", "status");
  document.getElementById("main").prepend(line);

  function link(words, address) {
    const one = document.createElement("a");
    one.href = address;
    one.textContent = words;
    return one;
  }

  function say(...parts) {
    const words = document.createElement("p");
    words.append(...parts);
    line.replaceChildren(words);
  }

  function also(...parts) {
    const words = document.createElement("p");
    words.append(...parts);
    line.append(words);
  }

  function forgetButton(item) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn btn-outline-primary";
    button.textContent = "Throw it away";
    button.addEventListener("click", async function () {
      change(item.id, function () {
        return null;
      });
      await forgetPicture(item.id);
      tell("waiting");
    });
    return button;
  }

  function tell(state) {
    line.replaceChildren();
    const items = unsent();
    const waiting = items.filter(function (item) {
      return !item.refused;
    });
    if (waiting.length && state === "signed out") {
      say(
        "Kept on this phone. You are signed out: ",
        link("sign in", own.signin + "?next=" + encodeURIComponent(window.location.pathname)),
        " and it is sent.",
      );
    } else if (waiting.length === 1) {
      say(LATER);
    } else if (waiting.length) {
      say(waiting.length + " answers are kept on this phone; they will be sent when the connection is back.");
    }
    items
      .filter(function (item) {
        return item.refused;
      })
      .forEach(function (item) {
        also(
          "Not taken yet, and kept on this phone: ",
          link(item.title, item.page),
          ". Please look at it again. ",
          forgetButton(item),
        );
      });
    drafts()
      .filter(function (draft) {
        return draft.path !== window.location.pathname;
      })
      .forEach(function (draft) {
        also("Typed on this phone and not sent yet: ", link(draft.title, draft.path));
      });
  }

  /* Sending: one after the other, in the order in which they were sent off. */
  function cookie(name) {
    const found = document.cookie.split("; ").find(function (one) {
      return one.startsWith(name + "=");
    });
    return found ? found.slice(name.length + 1) : "";
  }

  async function request(address, options) {
    const stop = new AbortController();
    const clock = window.setTimeout(function () {
      stop.abort();
    }, PATIENCE_MS);
    try {
      return await fetch(
        address,
        Object.assign({ credentials: "same-origin", signal: stop.signal }, options),
      );
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
      const kept = await (await caches.open(PICTURES)).match(pictureKey(item.id));
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

  function flush() {
    // One tab at a time where the browser can see to it.
    running = running.then(function () {
      return navigator.locks ? navigator.locks.request(UNSENT, sendAll) : sendAll();
    });
    return running;
  }

  async function flushQuietly() {
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

  /* Forms. */
  function fieldsOf(form) {
    return Array.from(new FormData(form)).filter(function (field) {
      return typeof field[1] === "string" && field[0] !== "csrfmiddlewaretoken";
    });
  }

  function fill(form, fields) {
    form.querySelectorAll("input[type=checkbox]").forEach(function (box) {
      box.checked = false;
    });
    fields.forEach(function (field) {
      const part = form.elements.namedItem(field[0]); // one of them is called "length"
      if (part && part.type === "checkbox") {
        part.checked = true;
        return;
      }
      if (part && part.type !== "file" && part.type !== "submit") {
        part.value = field[1];
      }
    });
  }

  function titleOf() {
    return document.querySelector("h1").textContent.trim();
  }

  async function keepPicture(form, item) {
    const input = form.querySelector("input[type=file]");
    if (!input || !input.files.length) {
      return !input;
    }
    if (!window.caches) {
      return false;
    }
    try {
      await (await caches.open(PICTURES)).put(pictureKey(item.id), new Response(input.files[0]));
    } catch {
      return false;
    }
    item.file = { field: input.name, name: input.files[0].name };
    return true;
  }

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

  let busy = false;

  async function sendOff(form, adds) {
    const item = await keep(form, adds);
    if (!item) {
      form.submit();
      return;
    } // nothing can be kept here: as a plain form
    const typed = read(DRAFT + item.path);
    write(DRAFT + item.path, null);
    say("Sending …");
    const results = await flush();
    const result = results.get(item.id);
    if (result && result.state === "sent") {
      try {
        window.sessionStorage.setItem(NOTE, "Sent.");
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
      form.submit(); // shows the sentence that says why
    } else {
      if (adds) {
        form.reset();
      }
      tell(results.stopped || "later");
    }
  }

  document.querySelectorAll("[data-keep]").forEach(function (box) {
    const adds = box.dataset.keep === "adds";
    box.querySelectorAll("form").forEach(function (form) {
      form.addEventListener("submit", function (event) {
        event.preventDefault();
        if (busy) {
          return;
        }
        busy = true;
        sendOff(form, adds).finally(function () {
          busy = false;
        });
      });
    });
    const form = box.querySelector("[data-question] form");
    if (!form) {
      return;
    }
    const key = DRAFT + window.location.pathname;
    form.addEventListener("input", function () {
      write(key, { title: titleOf(), fields: fieldsOf(form) });
    });
    const waiting = unsent().find(function (item) {
      return item.path === window.location.pathname && (item.refused || !adds);
    });
    const draft = read(key) || waiting;
    if (draft) {
      fill(form, draft.fields);
    }
    if (draft && draft !== waiting) {
      form.after(unsentLine(form, key));
    }
  });

  function unsentLine(form, key) {
    const words = document.createElement("p");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn btn-outline-primary";
    button.textContent = "Throw it away";
    button.addEventListener("click", function () {
      write(key, null);
      form.reset();
      words.remove();
    });
    words.id = "typed-before";
    words.append("You typed this before and have not sent it yet. ", button);
    return words;
  }

  /* The camera is offered beside the choice of a picture. */
  document.querySelectorAll("[data-keep] input[type=file]").forEach(function (input) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn btn-outline-primary";
    button.textContent = "Take a photo now";
    button.addEventListener("click", function () {
      input.setAttribute("capture", "environment");
      input.click();
      input.removeAttribute("capture");
    });
    input.after(button);
  });

  /* Signing out takes everything from the phone: first what waits is sent, and what can't be is told. */
  async function forgetAll() {
    Object.keys(window.localStorage)
      .filter(function (key) {
        return key.startsWith(PREFIX);
      })
      .forEach(function (key) {
        window.localStorage.removeItem(key);
      });
    write(QUESTIONS_OF, null);
    if (window.caches) {
      await caches.delete(PICTURES);
      await caches.delete(PAGES);
    }
  }

  let warned = false;
  document.querySelectorAll('form[action="' + own.signout + '"]').forEach(function (form) {
    form.addEventListener("submit", async function (event) {
      event.preventDefault();
      const results = await flush();
      if ((unsent().length || drafts().length) && !warned) {
        warned = true;
        tell(results.stopped);
        also("Signing out takes what is not sent from this phone. Press “Sign out” again to do so.");
        line.scrollIntoView({ block: "nearest" });
        return;
      }
      await forgetAll();
      form.submit();
    });
  });

  /* The questions can be read without a connection: each that is still unknown here is fetched once. */
  async function keepQuestions() {
    if (!window.caches || !navigator.serviceWorker) {
      return;
    }
    if (read(QUESTIONS_OF) !== own.person) {
      await caches.delete(PAGES);
      write(QUESTIONS_OF, own.person);
    }
    await navigator.serviceWorker.register(own.worker, { scope: own.home });
    const pages = await caches.open(PAGES);
    const questions = Array.from(document.querySelectorAll("[data-questions] a"));
    if (!questions.length) {
      return;
    }
    const looks = Array.from(document.querySelectorAll("link[href], script[src]"));
    const addresses = questions.concat(looks).map(function (one) {
      return one.href || one.src;
    });
    for (const address of addresses.concat([window.location.href])) {
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

  window.addEventListener("online", flushQuietly);
  window.setInterval(flushQuietly, AGAIN_MS);
  tell("later");
  const note = window.sessionStorage.getItem(NOTE);
  if (note) {
    window.sessionStorage.removeItem(NOTE);
    also(note);
  }
  flushQuietly();
  keepQuestions().catch(function () {
    /* a browser that keeps no pages: they need a connection */
  });
})();
