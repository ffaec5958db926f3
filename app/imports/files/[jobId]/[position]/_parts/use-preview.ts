"use client";

import { useCallback, useEffect, useRef, useState } from "react";
import { refusalOf } from "@/app/imports/_parts/upload/send-files";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import { messageOf } from "@/lib/kernel/errors";
import type { FilePreview } from "@/lib/services/preview-file";
import type { Look } from "@/lib/services/staged-reading";

const PAUSE_MS = 250;

/** A look as the editor asks for one: by a draft, or by a guess for a kind, a saved mapping or a format. */
export type AskedLook = Partial<Look>;

/** The preview of a file as its draft is changed: what stands, what is asked, and why an answer did not come. */
export type PreviewState = {
  readonly preview: FilePreview;
  /** The draft as it was changed last; the preview follows. */
  readonly draft: MappingDraft;
  readonly pending: boolean;
  readonly problem: string | null;
  /** Changes the draft; the server is asked once the changes pause. */
  readonly change: (draft: MappingDraft) => void;
  /** Asks for a look at once, such as a guess for another kind. */
  readonly look: (look: AskedLook) => void;
};

/** Keeps a preview in step with its draft; the server keeps the draft, so that a reload shows the same. */
export function usePreview(address: string, initial: FilePreview): PreviewState {
  const [preview, setPreview] = useState(initial);
  const [draft, setDraft] = useState(initial.draft);
  const [pending, setPending] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const running = useRef<AbortController | null>(null);

  useEffect(() => () => clearTimeout(timer.current), []);

  const ask = useCallback(
    async (look: AskedLook) => {
      running.current?.abort();
      const controller = new AbortController();
      running.current = controller;
      setPending(true);
      try {
        const next = await previewOf(address, look, controller.signal);
        // Doubts about a guess stay until its columns are changed; a form that is gone is kept to be mended.
        setPreview((before) => ({
          ...next,
          doubts: look.draft ? before.doubts : next.doubts,
          form: next.form ?? before.form,
        }));
        setProblem(null);
        // A draft that was changed again meanwhile stays as it is typed.
        setDraft((now) => (!look.draft || now === look.draft ? next.draft : now));
        setPending(false);
      } catch (thrown) {
        if (controller.signal.aborted) return;
        setProblem(messageOf(thrown));
        setPending(false);
      }
    },
    [address],
  );

  const change = useCallback(
    (next: MappingDraft) => {
      setDraft(next);
      setPending(true);
      clearTimeout(timer.current);
      timer.current = setTimeout(() => void ask({ draft: next }), PAUSE_MS);
    },
    [ask],
  );

  const look = useCallback(
    (wanted: AskedLook) => {
      clearTimeout(timer.current);
      void ask(wanted);
    },
    [ask],
  );

  return { preview, draft, pending, problem, change, look };
}

async function previewOf(address: string, look: AskedLook, signal: AbortSignal): Promise<FilePreview> {
  const answer = await fetch(`${address}/preview`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(look),
    signal,
  }).catch((thrown: unknown) => {
    throw signal.aborted ? thrown : new Error("the server does not answer just now; change something to ask again");
  });
  if (!answer.ok) throw new Error(refusalOf(await answer.text(), answer.status));
  return answer.json();
}
