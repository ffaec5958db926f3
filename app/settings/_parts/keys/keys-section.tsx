import { Button } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { Section } from "@/app/_parts/section";
import { EmptyState } from "@/app/_parts/states";
import { type Row, Table } from "@/app/_parts/table";
import { revokeKey } from "@/app/_server/key-actions";
import { NewKeyForm } from "@/app/settings/_parts/keys/new-key-form";
import type { ApiKeyView } from "@/lib/services/api-keys";
import type { KeysView } from "@/lib/services/show-keys";

/** The keys with which sites send records by themselves, and the form of a new one. */
export function KeysSection({ view: { keys, sites, portfolios }, format }: { view: KeysView; format: Format }) {
  return (
    <Section
      id="keys"
      title="Keys for sending"
      note="A gateway or building system sends readings, events and work by itself with a key. A key writes to one site, or to the sites of a portfolio, and reads nothing. What it may send stands in /api/v1/openapi.json."
    >
      {keys.length === 0 ? (
        <EmptyState title="No key yet.">
          <p>Until one is made, records come in by the imports page and the command line alone.</p>
        </EmptyState>
      ) : (
        <Table caption="Keys for sending" columns={columns} rows={keys.map((key) => rowOf(key, format))} />
      )}
      {sites.length === 0 ? (
        <p className="mt-6 max-w-[60ch] text-soft">
          A key is for a site or a portfolio: import the sites file first, then make the key here.
        </p>
      ) : (
        <NewKeyForm sites={sites} portfolios={portfolios} />
      )}
    </Section>
  );
}

const columns = [
  { key: "name", label: "Key" },
  { key: "scope", label: "Writes to" },
  { key: "made", label: "Made" },
  { key: "used", label: "Last used" },
  { key: "state", label: "State" },
] as const;

function rowOf({ id, name, scope, scopeId, createdAt, lastUsedAt, revokedAt }: ApiKeyView, format: Format): Row {
  return {
    key: String(id),
    cells: [
      name,
      `${scope} ${scopeId}`,
      format.moment(createdAt, "UTC"),
      lastUsedAt === null ? "never" : format.moment(lastUsedAt, "UTC"),
      revokedAt === null ? (
        <RevokeForm key="revoke" id={id} name={name} />
      ) : (
        `revoked ${format.moment(revokedAt, "UTC")}`
      ),
    ],
  };
}

/** What is sent with a revoked key is refused at once, so the button stands behind a disclosure. */
function RevokeForm({ id, name }: { id: number; name: string }) {
  return (
    <details>
      <summary className="w-fit cursor-pointer underline decoration-rule underline-offset-4 hover:text-accent">
        Revoke<span className="sr-only"> the key {name}</span>
      </summary>
      <form action={revokeKey} className="mt-2 space-y-2">
        <input type="hidden" name="id" value={id} />
        <p className="max-w-[40ch] text-sm text-soft">
          What is sent with it from then on is refused. There is no way back.
        </p>
        <Button type="submit">Revoke it now</Button>
      </form>
    </details>
  );
}
