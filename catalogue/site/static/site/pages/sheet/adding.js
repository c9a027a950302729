/* “+2 cm” typed over several sizes: what each cell says then. */

const MM = { mm: 1, cm: 10, in: 25.4, '"': 25.4 };
const WHOLE = /^(\d+(?:[.,]\d+)?)(?:\s+(\d+)\/(\d+))?\s*([^\d\s.,/]*)$/;
const PART = /^(\d+)\/(\d+)\s*([^\d\s.,/]*)$/;

function read(text) {
  const whole = text.match(WHOLE);
  if (whole) {
    const more = whole[2] ? Number(whole[2]) / Number(whole[3]) : 0;
    return { number: Number(whole[1].replace(",", ".")) + more, unit: whole[4] };
  }
  const part = text.match(PART);
  return part ? { number: Number(part[1]) / Number(part[2]), unit: part[3] } : null;
}

/* The number that is to be added, with its sign and unit; null where the words are no such thing. */
export function amountIn(text) {
  const sign = { "+": 1, "-": -1, "−": -1 }[text.charAt(0)];
  const found = sign ? read(text.slice(1).trim()) : null;
  return found && { number: sign * found.number, unit: found.unit };
}

/* A cell with an amount added, in its own unit; null where it has no number, or can't be told in that unit. */
export function sumOf(text, amount, home) {
  const below = text.startsWith("-") || text.startsWith("−");
  const cell = read(below ? text.slice(1).trim() : text);
  if (!cell) {
    return null;
  }
  const unit = cell.unit || home;
  const isLength = amount.unit in MM;
  if (isLength && !(unit in MM)) {
    return null;
  }
  const added = isLength ? (amount.number * MM[amount.unit]) / MM[unit] : amount.number;
  const sum = Math.round(((below ? -1 : 1) * cell.number + added) * 10000) / 10000;
  return cell.unit ? sum + " " + cell.unit : String(sum);
}
