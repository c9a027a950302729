/* Blocks within a step, lines of colons that open and close them; and what a pasted text becomes. */

const FENCE = /^ *:::\s*(.*?)\s*$/;

/* How many blocks are open at the end of a text. */
export function depthOf(text) {
  return text.split("\n").reduce(function (depth, line) {
    const found = FENCE.exec(line);
    return !found ? depth : found[1] ? depth + 1 : Math.max(0, depth - 1);
  }, 0);
}

/* Where Tab goes from a place: into the next block, or behind the one that ends next; -1 for nowhere. */
export function nextStop(text, caret) {
  let place = 0;
  let depth = 0;
  for (const line of text.split("\n")) {
    const found = FENCE.exec(line);
    const end = place + line.length;
    if (found && found[1] && end < text.length) {
      depth += 1;
      if (end + 1 > caret) {
        return end + 1;
      }
    } else if (found && depth) {
      depth -= 1;
      if (end > caret) {
        return end;
      }
    }
    place = end + 1;
  }
  return -1;
}

/* Where Shift and Tab go: before the block that a place stands in; -1 where it stands in none. */
export function placeBefore(text, caret) {
  const starts = [];
  let place = 0;
  for (const line of text.slice(0, caret).split("\n")) {
    const found = FENCE.exec(line);
    if (found && found[1]) {
      starts.push(place);
    } else if (found) {
      starts.pop();
    }
    place += line.length + 1;
  }
  return starts.length ? Math.max(0, starts.at(-1) - 1) : -1;
}

/* The lines from one place to another put into a block, the whole text where the two are the same. */
export function inBlock(text, start, end, words) {
  const isAll = start === end;
  const from = isAll ? 0 : text.lastIndexOf("\n", start - 1) + 1;
  const next = text.indexOf("\n", Math.max(from, end - 1));
  const to = isAll || next < 0 ? text.length : next;
  const opening = "::: " + words + "\n";
  return {
    text: text.slice(0, from) + opening + text.slice(from, to) + "\n:::" + text.slice(to),
    caret: from + opening.length + (isAll ? start : to - from),
  };
}

/* What a pasted text becomes: each line a step, a line of “# ” a title; a block stays together. */
export function pastedLines(text) {
  const found = [];
  let open = [];
  text
    .replace(/\r\n?/g, "\n")
    .split("\n")
    .forEach(function (line) {
      if (open.length || FENCE.test(line)) {
        open.push(line);
        if (!depthOf(open.join("\n"))) {
          found.push({ kind: "step", text: open.join("\n") });
          open = [];
        }
      } else if (line.trim()) {
        const isTitle = line.startsWith("# ");
        found.push({ kind: isTitle ? "title" : "step", text: isTitle ? line.slice(2).trim() : line.trim() });
      }
    });
  if (open.length) {
    found.push({ kind: "step", text: open.join("\n") });
  }
  return found;
}
