import Link from "next/link";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { planOrder } from "@/app/_parts/marks/roof-plan";
import { Table } from "@/app/_parts/table";
import { formWords } from "@/app/_parts/words";
import type { SiteBeamView } from "@/lib/services/show-site";

/** The beams of the plan by their number. */
export function BeamTable({ beams, format }: { beams: readonly SiteBeamView[]; format: Format }) {
  const byId = new Map(beams.map((beam) => [beam.detectorId, beam]));
  const rows = planOrder(beams.map(roofBeamOf)).flatMap((detectorId, index) => {
    const beam = byId.get(detectorId);
    return beam ? [{ number: index + 1, beam }] : [];
  });
  return (
    <DataBehind summary="The beams by their number">
      <Table
        caption="Beams of the plan"
        columns={[
          { key: "detector", label: "Detector" },
          { key: "length", label: "Path", align: "end" },
          { key: "bearing", label: "Bearing", align: "end" },
          { key: "height", label: "Height", align: "end" },
          { key: "form", label: "Form" },
          { key: "signal", label: "Signal", align: "end" },
          { key: "cost", label: "Expected cost", align: "end" },
        ]}
        rows={rows.map(({ number, beam }) => ({
          key: beam.detectorId,
          cells: [
            <span key="name">
              {number}. <Link href={`/detectors/${encodeURIComponent(beam.detectorId)}`}>{beam.label}</Link>
            </span>,
            `${format.number(beam.beam.pathLengthM, { digits: 1 })} m`,
            `${format.number(beam.bearingDeg)}°`,
            `${format.number(beam.heightM, { digits: 1 })} m`,
            formWords[beam.beam.form],
            beam.beam.latestSignalPct === null ? "no reading" : `${format.number(beam.beam.latestSignalPct)} %`,
            format.money(beam.expectedCost),
          ],
        }))}
      />
    </DataBehind>
  );
}

/** A detector of the site as the plan needs it. */
export function roofBeamOf({ detectorId, label, beam, bearingDeg, expectedCost }: SiteBeamView) {
  const { form, pathLengthM, latestSignalPct } = beam;
  return { detectorId, label, form, pathLengthM, latestSignalPct, bearingDeg, expectedCost };
}
