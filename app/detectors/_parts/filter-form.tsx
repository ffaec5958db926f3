import type { Route } from "next";
import Link from "next/link";
import type { ReactNode } from "react";
import { Button } from "@/app/_parts/button";
import { accessWords } from "@/app/_parts/words";
import { kindWords } from "@/app/detectors/_parts/words";
import { accessChoices } from "@/lib/services/detectors-query";
import type { DetectorsQuery, DetectorsView } from "@/lib/services/show-detectors";

/** Which detectors to list: a plain form whose answers become the address. */
export function FilterForm({ view, query }: { view: DetectorsView; query: DetectorsQuery }) {
  const filtered = [query.siteId, query.kind, query.access, query.text].some((part) => part !== undefined);
  return (
    <search>
      <form action="/detectors" className="mb-8 flex flex-wrap items-end gap-x-4 gap-y-3 border-y border-rule py-4">
        <Field id="filter-q" label="Name or id">
          <input
            id="filter-q"
            name="q"
            type="search"
            defaultValue={query.text ?? ""}
            className="h-10 w-44 border border-faint bg-raised px-3"
          />
        </Field>
        <Choice
          id="filter-site"
          name="site"
          label="Site"
          value={query.siteId}
          options={view.sites.map(({ siteId, name }) => ({ value: siteId, text: name }))}
        />
        <Choice
          id="filter-kind"
          name="kind"
          label="Finding"
          value={query.kind}
          options={view.kinds.map((kind) => ({ value: kind, text: kindWords(kind) }))}
        />
        <Choice
          id="filter-access"
          name="access"
          label="Access"
          value={query.access}
          options={accessChoices.map((access) => ({ value: access, text: accessWords[access] }))}
        />
        {query.sort ? <input type="hidden" name="sort" value={query.sort} /> : null}
        {query.direction ? <input type="hidden" name="dir" value={query.direction} /> : null}
        <Button type="submit">Show</Button>
        {filtered ? (
          <Link href={"/detectors" satisfies Route} className="py-2">
            Show all
          </Link>
        ) : null}
      </form>
    </search>
  );
}

function Field({ id, label, children }: { id: string; label: string; children: ReactNode }) {
  return (
    <div className="min-w-0">
      <label htmlFor={id} className="mb-1 block text-sm text-soft">
        {label}
      </label>
      {children}
    </div>
  );
}

function Choice({
  id,
  name,
  label,
  value,
  options,
}: {
  id: string;
  name: string;
  label: string;
  value: string | undefined;
  options: readonly { readonly value: string; readonly text: string }[];
}) {
  return (
    <Field id={id} label={label}>
      <select
        id={id}
        name={name}
        defaultValue={value ?? ""}
        className="h-10 max-w-[15rem] border border-faint bg-raised px-2"
      >
        <option value="">any</option>
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.text}
          </option>
        ))}
      </select>
    </Field>
  );
}
