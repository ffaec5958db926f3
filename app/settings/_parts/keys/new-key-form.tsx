"use client";

import { useActionState } from "react";
import { Button } from "@/app/_parts/button";
import { addKey, type NewKeyState } from "@/app/_server/key-actions";

const nothing: NewKeyState = { secret: null, name: "", holds: "", refusal: null };

/** Makes a key; its secret stands on the page until the page is left, and nowhere else. */
export function NewKeyForm({
  sites,
  portfolios,
}: {
  sites: readonly { readonly siteId: string; readonly name: string }[];
  portfolios: readonly string[];
}) {
  const [state, action, pending] = useActionState(addKey, nothing);
  return (
    <form action={action} className="mt-8 max-w-[60ch] space-y-4">
      {state.secret ? <NewSecret secret={state.secret} /> : null}
      <p className="grid gap-1">
        <label htmlFor="key-name" className="font-medium">
          Name of a new key
        </label>
        <input
          id="key-name"
          name="name"
          key={`name-${state.secret ?? state.name}`}
          defaultValue={state.name}
          required
          maxLength={100}
          autoComplete="off"
          aria-describedby="key-name-note"
          className="border border-faint bg-raised px-3 py-1.5"
        />
        <span id="key-name-note" className="text-sm text-soft">
          Who sends with it, such as the gateway of a hall.
        </span>
      </p>
      <p className="grid gap-1">
        <label htmlFor="key-holds" className="font-medium">
          It writes to
        </label>
        <select
          id="key-holds"
          name="holds"
          key={`holds-${state.secret ?? state.holds}`}
          defaultValue={state.holds}
          required
          className="border border-faint bg-raised px-3 py-1.5"
        >
          <option value="">choose</option>
          {portfolios.length > 0 ? (
            <optgroup label="All sites of a portfolio">
              {portfolios.map((name) => (
                <option key={name} value={`portfolio:${name}`}>
                  {name}
                </option>
              ))}
            </optgroup>
          ) : null}
          <optgroup label="One site">
            {sites.map(({ siteId, name }) => (
              <option key={siteId} value={`site:${siteId}`}>
                {name} ({siteId})
              </option>
            ))}
          </optgroup>
        </select>
      </p>
      {state.refusal ? (
        <p role="alert" className="border-l-2 border-worse py-1 pl-4">
          No key was made: {state.refusal}.
        </p>
      ) : null}
      <Button type="submit" disabled={pending}>
        {pending ? "Making it" : "Make a key"}
      </Button>
    </form>
  );
}

function NewSecret({ secret }: { secret: string }) {
  return (
    <div role="status" className="border-l-2 border-accent bg-accent-wash px-5 py-3">
      <p>The key is made. Copy its secret now: it is not kept and is not shown again.</p>
      <p className="mt-2">
        <code className="block select-all break-all font-mono text-sm">{secret}</code>
      </p>
    </div>
  );
}
