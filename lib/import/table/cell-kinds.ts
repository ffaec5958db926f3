const number = /^[-+]?(\d{1,3}([ .,'\u00a0\u202f]\d{3})*|\d+)?([.,]\d+)?([eE][-+]?\d+)?\s*[%°]?$/;
const day = /\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\.?|\d{8}|\d{1,2}[-. ]+\p{L}{3,9}[-. ]+\d{2,4}/u.source;
const clock = /\d{1,2}[:.]?\d\d[\d:.,]*( ?[AaPp]\.?[Mm]\.?)?( ?Z| ?[-+]\d\d:?\d*)?/.source;
const moment = new RegExp(`^((${day})([T, ]+${clock})?|\\d{1,2}:\\d\\d[\\d:.,]*)$`, "u");

/** Whether a cell holds a number or a moment in any common way of writing, and so is no name of a column. */
export function isValue(cell: string): boolean {
  const text = cell.trim();
  return text !== "" && text.length <= 40 && /\d/.test(text) && (number.test(text) || moment.test(text));
}

/** Whether a cell may name a column: it has a letter, is short, and is no number or moment. */
export function isName(cell: string): boolean {
  const text = cell.trim();
  return text.length <= NAME_LIMIT && /\p{L}/u.test(text) && !isValue(text);
}

const NAME_LIMIT = 120;
