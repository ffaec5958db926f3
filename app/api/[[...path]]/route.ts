import { nothingHere } from "@/app/_server/api/door";

export { refuse as DELETE, refuse as GET, refuse as PATCH, refuse as POST, refuse as PUT };

/** Every address of the interface at which there is nothing. */
function refuse(request: Request): Promise<Response> {
  return nothingHere(request);
}
