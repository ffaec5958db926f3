"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { Button } from "@/app/_parts/button";
import { refusalOf } from "@/app/imports/_parts/upload/send-files";
import { TextField } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import { messageOf } from "@/lib/kernel/errors";

/** Settles that the file is read so, once or under a name that reads the next files with these columns by itself. */
export function KeepMapping({
  address,
  jobId,
  draft,
  mappings,
  suggested,
  open,
}: {
  address: string;
  jobId: string;
  draft: MappingDraft;
  mappings: readonly string[];
  suggested: string;
  /** What still has to be said before the file can be imported. */
  open: readonly string[];
}) {
  const router = useRouter();
  const [name, setName] = useState(suggested);
  const [saving, setSaving] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const settle = async (as: string | null) => {
    setSaving(true);
    setProblem(null);
    try {
      await put(`${address}/mapping`, { draft, name: as });
      router.push(`/imports?job=${jobId}`);
      router.refresh();
    } catch (thrown) {
      setProblem(messageOf(thrown));
      setSaving(false);
    }
  };
  const clean = name.trim().replace(/\s+/g, " ");
  const blocked = saving || open.length > 0;
  return (
    <div className="max-w-[46rem] space-y-4">
      {open.length > 0 ? (
        <ul className="border-l-2 border-accent pl-4">
          {open.map((one) => (
            <li key={one}>{one}</li>
          ))}
        </ul>
      ) : null}
      <div className="flex flex-wrap items-end gap-3">
        <TextField label="Name of the mapping" value={name} size={28} onChange={setName} />
        <Button look="main" disabled={blocked || clean === ""} onClick={() => settle(clean)}>
          Save and use it
        </Button>
        <Button disabled={blocked} onClick={() => settle(null)}>
          Use it this once
        </Button>
      </div>
      <p className="text-sm text-soft">
        {mappings.includes(clean)
          ? `“${clean}” exists: this becomes its next version. Files read with the versions before keep them.`
          : "A saved mapping reads the next file with these columns by itself; the command line and the API know it by its name."}
      </p>
      {problem ? (
        <p role="alert" className="border-l-2 border-worse py-1 pl-4">
          It was not saved: {problem}.
        </p>
      ) : null}
    </div>
  );
}

async function put(address: string, body: { draft: MappingDraft; name: string | null }): Promise<void> {
  const answer = await fetch(address, {
    method: "PUT",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  }).catch(() => {
    throw new Error("the server does not answer just now; try again");
  });
  if (!answer.ok) throw new Error(refusalOf(await answer.text(), answer.status));
}
