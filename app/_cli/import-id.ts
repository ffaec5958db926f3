import { AppError } from "@/lib/kernel/errors";

/** The number of an import as a user types it; throws AppError invalid_input for anything else. */
export function importIdOf(text: string): number {
  const id = Number(text);
  if (/^\d+$/.test(text) && Number.isSafeInteger(id) && id > 0) return id;
  throw new AppError("invalid_input", `'${text}' is not the number of an import; rafterline imports lists them`);
}
