/** The four ways an outside request can fail; doors translate them, nobody else. */
export type AppErrorCode = "not_found" | "forbidden" | "invalid_input" | "conflict";

/** A mistake from outside: `message` says what, where and what to do, in words a user reads. */
export class AppError extends Error {
  readonly code: AppErrorCode;

  constructor(code: AppErrorCode, message: string) {
    super(message);
    this.name = "AppError";
    this.code = code;
  }
}

/** Text of anything thrown; for the doors, which alone turn an error into words. */
export function messageOf(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : String(thrown);
}
