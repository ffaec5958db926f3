import type { Route } from "next";
import Link from "next/link";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import { CaptureRails } from "@/app/proof/_parts/capture-rails";
import type { CapturePoint, MethodCapture } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

/** How much of the cost that followed each way of choosing held, drawn and as a table. */
export function CaptureSection({ view, leaveOut, format }: { view: ReadyProof; leaveOut: boolean; format: Format }) {
  const capture = leaveOut ? view.result.captureUnvisited : view.result.capture;
  const visited = view.result.origins.reduce((sum, origin) => sum + origin.visited, 0);
  const all = view.result.origins.reduce((sum, origin) => sum + origin.detectors, 0);
  return (
    <Section
      id="capture"
      title="What each way of choosing would have caught"
      note={
        <>
          <p>
            Of the cost of faults and unwanted alarms in the days that followed, the part at the detectors chosen first.
            Equal scores share by chance.
          </p>
          <p className="mt-2">
            {format.share(all > 0 ? visited / all : 0)} of the detectors were visited within the days that followed,
            which may have kept their cost from coming.{" "}
            {leaveOut ? (
              <>
                They are left out here. <Link href={"/proof#capture" satisfies Route}>Count all detectors</Link>
              </>
            ) : (
              <Link href={"/proof?visited=left_out#capture" satisfies Route}>Leave them out</Link>
            )}
          </p>
        </>
      }
    >
      <figure>
        <CaptureRails capture={capture} methodWords={view.methodWords} format={format} />
        <DataBehind summary="The shares in numbers, with the worst and the best month">
          <CaptureTable capture={capture} view={view} format={format} />
        </DataBehind>
      </figure>
    </Section>
  );
}

function CaptureTable({
  capture,
  view,
  format,
}: {
  capture: readonly MethodCapture[];
  view: ReadyProof;
  format: Format;
}) {
  return (
    <Table
      caption="Share of the cost that followed held by the first detectors"
      stacks={false}
      columns={[
        { key: "method", label: "Chosen by" },
        ...view.shares.map((share) => ({
          key: String(share),
          label: `First ${format.share(share)}`,
          align: "end" as const,
        })),
      ]}
      rows={capture.map(({ method, points }) => ({
        key: method,
        cells: [
          view.methodWords[method],
          ...points.map((point) => <Held key={point.share} point={point} format={format} />),
        ],
      }))}
    />
  );
}

function Held({ point: { held, lowestMonth, highestMonth }, format }: { point: CapturePoint; format: Format }) {
  if (held === null) return <span className="text-soft">cannot say</span>;
  return (
    <span className="whitespace-nowrap">
      {format.share(held)}
      <span className="block text-xs text-soft">
        {lowestMonth === null || highestMonth === null
          ? null
          : `${format.share(lowestMonth)} to ${format.share(highestMonth)}`}
      </span>
    </span>
  );
}
