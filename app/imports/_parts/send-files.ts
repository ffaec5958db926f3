import { z } from "zod";
import type { ImportChoices } from "@/app/_server/job-view";

/** How far sending has come: which file of how many, and the bytes of all of them. */
export type Sending = {
  readonly name: string;
  readonly position: number;
  readonly files: number;
  readonly sentBytes: number;
  readonly totalBytes: number;
};

const created = z.object({ id: z.string() });
const refusal = z.object({ message: z.string() });

/**
 * Sends files to a new job that reads them as chosen, each as the raw body of a request of its own, and starts it.
 *
 * @returns the job's id
 * @throws Error in words for people when the server refuses or cannot be reached
 */
export async function sendFiles(
  files: readonly File[],
  {
    choices: { replaces, fold },
    onProgress,
    signal,
  }: { choices: ImportChoices; onProgress: (sending: Sending) => void; signal: AbortSignal },
): Promise<string> {
  const address = `/jobs?kind=import&replace=${replaces ? "yes" : "no"}&fold=${fold}`;
  const { id } = created.parse(JSON.parse(await post(address, { signal })));
  try {
    await sendAll(files, { id, onProgress, signal });
  } catch (thrown) {
    // What was sent so far is of no use; a server that cannot be reached removes it by itself later.
    await fetch(`/jobs/${id}`, { method: "DELETE" }).catch(() => undefined);
    throw thrown;
  }
  return id;
}

async function sendAll(
  files: readonly File[],
  { id, onProgress, signal }: { id: string; onProgress: (sending: Sending) => void; signal: AbortSignal },
): Promise<void> {
  const totalBytes = files.reduce((total, file) => total + file.size, 0);
  let before = 0;
  for (const [index, file] of files.entries()) {
    const tell = (bytes: number) =>
      onProgress({
        name: file.name,
        position: index + 1,
        files: files.length,
        sentBytes: before + Math.min(bytes, file.size),
        totalBytes,
      });
    tell(0);
    await post(`/jobs/${id}/files?name=${encodeURIComponent(file.name)}`, { body: file, onBytes: tell, signal });
    before += file.size;
  }
  await post(`/jobs/${id}/start`, { signal });
}

/** POST by XMLHttpRequest, which alone tells how many bytes of a body have gone out. */
function post(
  address: string,
  { body, onBytes, signal }: { body?: File; onBytes?: (bytes: number) => void; signal: AbortSignal },
): Promise<string> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", address);
    if (body) request.setRequestHeader("content-type", "application/octet-stream");
    if (onBytes) request.upload.onprogress = (event) => onBytes(event.loaded);
    request.onload = () => {
      if (request.status >= 200 && request.status < 300) resolve(request.responseText);
      else reject(new Error(refusalOf(request.responseText, request.status)));
    };
    request.onerror = () => reject(new Error("the server could not be reached, or the file changed while it was sent"));
    request.onabort = () => reject(new Error("stopped; nothing was imported"));
    signal.addEventListener("abort", () => request.abort(), { once: true });
    request.send(body ?? null);
  });
}

function refusalOf(text: string, status: number): string {
  try {
    return refusal.parse(JSON.parse(text)).message;
  } catch {
    return `the server answered ${status}`;
  }
}
