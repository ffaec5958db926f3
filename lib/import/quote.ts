/** Longest piece of a foreign value that a message shows. */
export const SHOWN_LIMIT = 200;

/** A foreign value as a message shows it: cut to {@link SHOWN_LIMIT} characters, control characters made visible. */
export function shown(value: string): string {
  const cut = value.length > SHOWN_LIMIT ? `${value.slice(0, SHOWN_LIMIT)}…` : value;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this makes visible
  return cut.replace(/[\u0000-\u001f\u007f]/g, (character) => {
    return `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`;
  });
}
