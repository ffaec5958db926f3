import { nothingHere, wrongMethod } from "@/app/_server/api/door";
import { apiDoor } from "@/app/_server/api/open-door";
import { sendRecords } from "@/app/_server/api/send-records";
import { sentKindOf } from "@/lib/services/api/interface";

type Place = RouteContext<"/api/v1/[kind]">;

/** Records sent with a key. No cookie opens this door, so it asks for no origin. */
export async function POST(request: Request, { params }: Place): Promise<Response> {
  return sendRecords(request, { door: apiDoor(), kind: (await params).kind });
}

export { refuse as DELETE, refuse as GET, refuse as PATCH, refuse as PUT };

async function refuse(request: Request, { params }: Place): Promise<Response> {
  const { kind } = await params;
  return sentKindOf(kind) ? wrongMethod(request, { allow: "POST" }) : nothingHere(request);
}
