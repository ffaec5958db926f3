import { PageHeader } from "@/app/_parts/page-header";

/** How do we stand, what first? */
export default function OverviewPage() {
  return <PageHeader title="Overview" />;
}
