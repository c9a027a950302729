/* The lines of the text on the page: titles and steps, each with its field, its buttons and what is found in it. */

const holder = document.getElementById("text-lines");
const grows = CSS.supports("field-sizing", "content");

export const data = JSON.parse(document.getElementById("text-data").textContent);

export function all() {
  return Array.from(holder.children);
}

export function fieldOf(line) {
  return line.querySelector("textarea");
}

export function isTitle(line) {
  return line.dataset.kind === "title";
}

export function lineOf(part) {
  return part.closest(".text-line");
}

/* Browsers that can't let a field grow by itself are told its height. */
export function grow(field) {
  if (!grows) {
    field.style.height = "auto";
    field.style.height = field.scrollHeight + 2 + "px";
  }
}

export function isFull() {
  return holder.children.length >= data.most;
}

export function make(one) {
  const line = document.getElementById("new-" + one.kind).content.firstElementChild.cloneNode(true);
  fill(line, one);
  return line;
}

function fill(line, one) {
  const field = fieldOf(line);
  const when = line.querySelector("[name^=when-]");
  if (field.value !== one.text) {
    field.value = one.text;
  }
  if (when && when.value !== (one.when || "")) {
    when.value = one.when || "";
  }
}

/* The text as it stands. */
export function read() {
  return all().map(function (line) {
    const when = line.querySelector("[name^=when-]");
    return { kind: line.dataset.kind, text: fieldOf(line).value, when: when ? when.value : "" };
  });
}

/* Show another text; lines that stay keep their place and what is found in them. */
export function write(text) {
  text.forEach(function (one, place) {
    const line = holder.children[place];
    if (line && line.dataset.kind === one.kind) {
      fill(line, one);
    } else if (line) {
      line.replaceWith(make(one));
    } else {
      holder.append(make(one));
    }
  });
  all().slice(text.length).forEach(remove);
  number();
}

function remove(line) {
  line.remove();
}

/* The lines that move with one: a title takes the steps of its section along. */
function company(line) {
  const taken = [line];
  while (isTitle(line) && taken.at(-1).nextElementSibling && !isTitle(taken.at(-1).nextElementSibling)) {
    taken.push(taken.at(-1).nextElementSibling);
  }
  return taken;
}

/* What stands before a step, or the title before that of a section. */
function before(line) {
  let other = line.previousElementSibling;
  while (isTitle(line) && other && !isTitle(other)) {
    other = other.previousElementSibling;
  }
  return other;
}

/* Move a step by one line, a section by one section; whether it could be moved. */
export function move(line, isDown) {
  const taken = company(line);
  const other = isDown ? taken.at(-1).nextElementSibling : before(line);
  const stays = !other || (!isDown && !isTitle(line) && !other.previousElementSibling);
  if (stays) {
    return false;
  }
  if (isDown) {
    (isTitle(line) ? company(other).at(-1) : other).after(...taken);
  } else {
    other.before(...taken);
  }
  number();
  return true;
}

export function endOfSection(line) {
  let last = line;
  while (last.nextElementSibling && !isTitle(last.nextElementSibling)) {
    last = last.nextElementSibling;
  }
  return last;
}

/* Names, numbers and labels follow the order of the lines. */
export function number() {
  let title = "";
  let sections = 0;
  let steps = 0;
  all().forEach(function (line, place) {
    const field = fieldOf(line);
    sections += isTitle(line) ? 1 : 0;
    steps = isTitle(line) ? 0 : steps + 1;
    title = isTitle(line) ? field.value.trim() : title;
    const called = isTitle(line)
      ? "Title of section " + sections
      : (title || "Section without a title") + ", step " + steps;
    const label = line.querySelector("label");
    const group = line.querySelector(".line-acts");
    const when = line.querySelector("[name^=when-]");
    const found = line.querySelector(".line-found");
    field.id = label.htmlFor = "line-" + place;
    field.name = line.dataset.kind + "-" + place;
    label.textContent = called;
    group.setAttribute("aria-label", called);
    found.id = "found-" + place;
    field.setAttribute("aria-describedby", found.id);
    if (when) {
      when.name = "when-" + place;
    }
    group.querySelectorAll("button").forEach(function (button) {
      button.value = button.value.replace(/\d+$/, String(place));
    });
    grow(field);
  });
}

export function focus(line, start, end) {
  const field = fieldOf(line);
  field.focus();
  field.setSelectionRange(start, end === undefined ? start : end);
}
