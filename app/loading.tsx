import { LoadingState } from "@/app/_parts/states";

/** Shown while a page is being made. */
export default function Loading() {
  return <LoadingState what="Reading the last analysis" />;
}
