"use client";

import { useRouter } from "next/navigation";
import { useId, useRef, useState } from "react";
import { BeamProgress } from "@/app/_parts/beam-progress";
import { Button } from "@/app/_parts/button";
import { sizeText } from "@/app/_parts/size-text";
import { DropZone } from "@/app/imports/_parts/upload/drop-zone";
import { type Sending, sendFiles } from "@/app/imports/_parts/upload/send-files";

/** Takes files and sends them at once to an upload, a new one when there is none; its address then shows them. */
export function Upload({ jobId, maxBytes, maxFiles }: { jobId: string | null; maxBytes: number; maxFiles: number }) {
  const router = useRouter();
  const hintId = useId();
  const [sending, setSending] = useState<Sending | null>(null);
  const [problems, setProblems] = useState<readonly string[]>([]);
  const stopper = useRef<AbortController | null>(null);

  const send = async (chosen: readonly File[]) => {
    const tooLarge = chosen.filter((file) => file.size > maxBytes);
    const files = chosen.filter((file) => file.size <= maxBytes);
    const found = tooLarge.map(({ name }) => `${name}: larger than ${sizeText(maxBytes)}; use the command line`);
    setProblems(found);
    if (files.length === 0) return;
    const controller = new AbortController();
    stopper.current = controller;
    const { id, problem } = await sendFiles(files, { id: jobId, onProgress: setSending, signal: controller.signal });
    setSending(null);
    setProblems(problem === null ? found : [...found, problem]);
    if (id === null) return;
    if (id === jobId) router.refresh();
    else router.push(`/imports?job=${id}`);
  };

  return (
    <div className="max-w-[46rem]">
      <DropZone onFiles={send} hintId={hintId} disabled={sending !== null} small={jobId !== null} />
      <p id={hintId} className="mt-3 text-sm text-soft">
        Tables as your panels and systems print them: CSV or other separated text in any usual encoding, XLSX, JSON
        lines, also packed by gzip; up to {maxFiles} files of {sizeText(maxBytes)} each. You see what becomes of them
        before anything is stored.
      </p>
      {problems.length > 0 ? (
        <ul role="alert" className="mt-4 border-l-2 border-worse py-1 pl-4">
          {problems.map((problem) => (
            <li key={problem}>{problem}.</li>
          ))}
        </ul>
      ) : null}
      {sending ? <SendingState sending={sending} onStop={() => stopper.current?.abort()} /> : null}
    </div>
  );
}

function SendingState({ sending, onStop }: { sending: Sending; onStop: () => void }) {
  const { name, position, files, sentBytes, totalBytes } = sending;
  return (
    <div className="mt-5 space-y-3">
      <p role="status">
        Sending {name}, {position} of {files}
      </p>
      <BeamProgress label="Sent" done={sentBytes} total={totalBytes} />
      <p className="text-sm text-soft">
        {sizeText(sentBytes)} of {sizeText(totalBytes)}. Keep this page open until all is sent.
      </p>
      <Button onClick={onStop}>Stop sending</Button>
    </div>
  );
}
