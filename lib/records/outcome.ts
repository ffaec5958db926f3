/** Why a row is refused: which column, what stood there, and in plain words what is wrong and what to do. */
export type Refusal = {
  readonly column: string | null;
  readonly value: string | null;
  readonly reason: string;
  /** Set when the row is good but names something the store does not know yet; such a row waits and is tried again. */
  readonly waitsFor?: "site" | "detector";
};

/** A value, or the reason there is none. */
export type Outcome<Value> =
  | { readonly ok: true; readonly value: Value }
  | { readonly ok: false; readonly refusal: Refusal };

/** A good outcome. */
export function accepted<Value>(value: Value): Outcome<Value> {
  return { ok: true, value };
}

/** A refused outcome. */
export function refused(refusal: Refusal): { readonly ok: false; readonly refusal: Refusal } {
  return { ok: false, refusal };
}
