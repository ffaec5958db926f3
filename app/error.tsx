"use client";

import { FailedState } from "@/app/_parts/states";

/** Shown when a page could not be made. */
export default function ErrorPage({ error, reset }: { error: Error & { digest?: string }; reset: () => void }) {
  return (
    <FailedState title="This page could not be made.">
      <p>
        Nothing was changed by looking at it. Try again; if it stays, the log of the server holds the reason
        {error.digest ? ` under ${error.digest}` : ""}.
      </p>
      <button type="button" onClick={reset} className="cursor-pointer border border-ink px-4 py-2 text-ink">
        Try again
      </button>
    </FailedState>
  );
}
