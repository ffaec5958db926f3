import { showProblem, wrongMethod } from "@/app/_server/api/door";

/** What a kind of problem means. */
export async function GET(request: Request, { params }: RouteContext<"/api/v1/problems/[name]">): Promise<Response> {
  return showProblem(request, { name: (await params).name });
}

export { refuse as DELETE, refuse as PATCH, refuse as POST, refuse as PUT };

function refuse(request: Request): Promise<Response> {
  return wrongMethod(request, { allow: "GET, HEAD" });
}
