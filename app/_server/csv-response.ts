/** CSV sent as it is made, to be saved under a name; a byte order mark tells spreadsheets that it is UTF-8. */
export function csvResponse(parts: AsyncIterable<string>, name: string): Response {
  const encoder = new TextEncoder();
  const iterator = parts[Symbol.asyncIterator]();
  let first = true;
  const body = new ReadableStream<Uint8Array>({
    async pull(controller) {
      const { done, value } = await iterator.next();
      if (done) return controller.close();
      controller.enqueue(encoder.encode(first ? `\uFEFF${value}` : value));
      first = false;
    },
    async cancel() {
      await iterator.return?.();
    },
  });
  return new Response(body, {
    headers: {
      "content-type": "text/csv; charset=utf-8",
      "content-disposition": `attachment; filename="${name}"`,
      "cache-control": "no-store",
    },
  });
}
