"use client";

import { useActionState } from "react";
import { buttonLook } from "@/app/_parts/button";
import { takeBack } from "@/app/_server/import-actions";

/** Takes an import back after a second look: the choice is ticked, then made. Works without scripts. */
export function TakeBackForm({ importId }: { importId: number }) {
  const [state, action, pending] = useActionState(takeBack, { refusal: null });
  return (
    <form action={action} className="max-w-[60ch] space-y-4">
      <input type="hidden" name="importId" value={importId} />
      <p className="text-soft">
        The store becomes what it would be without this import: rows that another import sent too stay, values it
        replaced come back. It stays in the list, marked. Then everything is analysed anew.
      </p>
      <p className="flex items-start gap-3">
        <input id="take-back-sure" type="checkbox" required className="mt-1 size-4 accent-accent" />
        <label htmlFor="take-back-sure">Yes, take import {importId} back whole</label>
      </p>
      <button type="submit" disabled={pending} className={buttonLook.plain}>
        {pending ? "Taking it back" : "Take it back"}
      </button>
      {state.refusal ? (
        <p role="alert" className="border-l-2 border-worse py-1 pl-4">
          It was not taken back: {state.refusal}.
        </p>
      ) : null}
    </form>
  );
}
