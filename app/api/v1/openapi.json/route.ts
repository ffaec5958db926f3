import { showDocument, wrongMethod } from "@/app/_server/api/door";

/** The document of the interface. */
export function GET(): Response {
  return showDocument();
}

export { refuse as DELETE, refuse as PATCH, refuse as POST, refuse as PUT };

function refuse(request: Request): Promise<Response> {
  return wrongMethod(request, { allow: "GET, HEAD" });
}
