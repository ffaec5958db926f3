"use client";

import { useRouter } from "next/navigation";
import { useId, useRef, useState } from "react";
import { BeamProgress } from "@/app/_parts/beam-progress";
import { Button } from "@/app/_parts/button";
import { sizeText } from "@/app/_parts/size-text";
import type { ImportChoices } from "@/app/_server/job-view";
import { ChosenFiles } from "@/app/imports/_parts/chosen-files";
import { DropZone } from "@/app/imports/_parts/drop-zone";
import { ReadingChoices } from "@/app/imports/_parts/reading-choices";
import { type Sending, sendFiles } from "@/app/imports/_parts/send-files";
import { messageOf } from "@/lib/kernel/errors";

/** Chooses files in any order and sends them; the address then holds the job, so that the page may be closed. */
export function Upload({ maxBytes, maxFiles }: { maxBytes: number; maxFiles: number }) {
  const router = useRouter();
  const hintId = useId();
  const [files, setFiles] = useState<readonly File[]>([]);
  const [sending, setSending] = useState<Sending | null>(null);
  const [choices, setChoices] = useState<ImportChoices>({ replaces: false, fold: "refuse" });
  const [problem, setProblem] = useState<string | null>(null);
  const stopper = useRef<AbortController | null>(null);

  const add = (more: readonly File[]) => {
    const tooLarge = more.filter((file) => file.size > maxBytes).map((file) => file.name);
    const taken = [...files, ...more.filter((file) => file.size <= maxBytes)].slice(0, maxFiles);
    setFiles(taken);
    setProblem(
      tooLarge.length > 0 ? `${tooLarge.join(", ")}: larger than ${sizeText(maxBytes)}; use the command line.` : null,
    );
  };

  const send = async () => {
    setProblem(null);
    const controller = new AbortController();
    stopper.current = controller;
    try {
      const id = await sendFiles(files, { choices, onProgress: setSending, signal: controller.signal });
      setFiles([]);
      router.push(`/imports?job=${id}`);
    } catch (thrown) {
      setProblem(messageOf(thrown));
    }
    setSending(null);
  };

  return (
    <div className="max-w-[46rem]">
      <DropZone onFiles={add} hintId={hintId} disabled={sending !== null} />
      <p id={hintId} className="mt-3 text-sm text-soft">
        CSV in UTF-8 with a header, any order, up to {maxFiles} files of {sizeText(maxBytes)} each. A bad row never
        stops the good ones; an import can be taken back whole.
      </p>
      <ReadingChoices choices={choices} locked={sending !== null} onChange={setChoices} />
      <ChosenFiles
        files={files}
        locked={sending !== null}
        onRemove={(index) => setFiles(files.filter((_, at) => at !== index))}
      />
      {problem ? (
        <p role="alert" className="mt-4 border-l-2 border-worse py-1 pl-4">
          {problem}
        </p>
      ) : null}
      {sending ? (
        <SendingState sending={sending} onStop={() => stopper.current?.abort()} />
      ) : files.length > 0 ? (
        <div className="mt-5 flex flex-wrap gap-3">
          <Button look="main" onClick={send}>
            Import {files.length === 1 ? "this file" : `these ${files.length} files`}
          </Button>
          <Button onClick={() => setFiles([])}>Clear</Button>
        </div>
      ) : null}
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
        {sizeText(sentBytes)} of {sizeText(totalBytes)}. Keep this page open until all is sent; afterwards it may be
        closed.
      </p>
      <Button onClick={onStop}>Stop sending</Button>
    </div>
  );
}
