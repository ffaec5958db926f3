import { AppError, messageOf } from "@/lib/kernel/errors";

/** Exit codes of every command: all went in or was done; could not be read or wrong call; some rows did not go in. */
export const exitCodes = { done: 0, unreadable: 2, incomplete: 3 } as const;

/** Writes one clear line on stderr and gives the exit code: 2 for a mistake of the caller, 1 for one of ours. */
export function exitCodeOf(thrown: unknown): number {
  if (thrown instanceof AppError) {
    process.stderr.write(`error: ${thrown.message}\n`);
    return exitCodes.unreadable;
  }
  const stack = thrown instanceof Error ? thrown.stack : undefined;
  process.stderr.write(`${stack ?? messageOf(thrown)}\nerror: unexpected failure: ${messageOf(thrown)}\n`);
  return 1;
}
