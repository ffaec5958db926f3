/**
 * A text for a spreadsheet that no spreadsheet takes for a formula: one that would begin a formula gets an apostrophe.
 *
 * Numbers are not texts: -12.50 stays a number. Source: the OWASP page on CSV injection (from memory); full-width signs
 * are added because some spreadsheets fold them to plain ones.
 */
export function safeCell(text: string): string {
  return /^\s*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]|^[\t\r\n]/.test(text) ? `'${text}` : text;
}
