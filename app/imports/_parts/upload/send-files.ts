import { z } from "zod";
import { messageOf } from "@/lib/kernel/errors";

/** How far sending has come: which file of how many, and the bytes of all of them. */
export type Sending = {
  readonly name: string;
  readonly position: number;
  readonly files: number;
  readonly sentBytes: number;
  readonly totalBytes: number;
};

/** What sending came to: the job that holds the files, null when none arrived, and what went wrong in words. */
export type Sent = { readonly id: string | null; readonly problem: string | null };

const created = z.object({ id: z.string() });
const refusal = z.object({ message: z.string() });

/** Sends files to a job, a new one when `id` is null, each as the raw body of a request of its own; what arrived stays. */
export async function sendFiles(
  files: readonly File[],
  { id, onProgress, signal }: { id: string | null; onProgress: (sending: Sending) => void; signal: AbortSignal },
): Promise<Sent> {
  const totalBytes = files.reduce((total, file) => total + file.size, 0);
  let job = id;
  let arrived = 0;
  let sentBytes = 0;
  try {
    job ??= created.parse(JSON.parse(await post("/jobs?kind=import", { signal }))).id;
    for (const [index, file] of files.entries()) {
      const before = sentBytes;
      const tell = (bytes: number) => {
        const { name, size } = file;
        onProgress({
          name,
          position: index + 1,
          files: files.length,
          sentBytes: before + Math.min(bytes, size),
          totalBytes,
        });
      };
      tell(0);
      await post(`/jobs/${job}/files?name=${encodeURIComponent(file.name)}`, { body: file, onBytes: tell, signal });
      arrived += 1;
      sentBytes += file.size;
    }
    return { id: job, problem: null };
  } catch (thrown) {
    const failed = files[arrived]?.name;
    const problem = failed ? `${failed}: ${messageOf(thrown)}` : messageOf(thrown);
    if (arrived > 0 || id !== null) return { id: job, problem };
    // A server that cannot be reached now removes an empty upload by itself later.
    if (job !== null) await fetch(`/jobs/${job}`, { method: "DELETE" }).catch(() => undefined);
    return { id: null, problem };
  }
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
    request.onabort = () => reject(new Error("stopped; nothing of it was kept"));
    signal.addEventListener("abort", () => request.abort(), { once: true });
    request.send(body ?? null);
  });
}

/** What an answer that is not good says, in words. */
export function refusalOf(text: string, status: number): string {
  try {
    return refusal.parse(JSON.parse(text)).message;
  } catch {
    return `the server answered ${status}`;
  }
}
