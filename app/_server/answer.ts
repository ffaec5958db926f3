import "server-only";
import { notFound } from "next/navigation";
import { AppError } from "@/lib/kernel/errors";

/** The view of a verb; missing and forbidden both become the page 'not found', anything else goes on to the error page. */
export async function answer<View>(verb: () => Promise<View> | View): Promise<View> {
  try {
    return await verb();
  } catch (thrown) {
    if (thrown instanceof AppError && (thrown.code === "not_found" || thrown.code === "forbidden")) notFound();
    throw thrown;
  }
}
