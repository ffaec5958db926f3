import Link from "next/link";
import { PageHeader } from "@/app/_parts/page-header";

/** Shown for an address that names nothing here, or nothing this reader may see. */
export default function NotFound() {
  return (
    <PageHeader
      title="Nothing stands at this address"
      lead={
        <p>
          It names no page, site or detector you can see here. Go to the <Link href="/">overview</Link>.
        </p>
      }
    />
  );
}
