import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** Detectors by loop and address, as their own file names them. */
const detectors = ["01-001", "01-002", "02-001"];

/** Writes what a depot sends: its sites and detectors, a panel's print, and levels whose dates can be read in two ways. */
export function writeForeignFiles(folder: string): Record<"sites" | "detectors" | "print" | "levels", string> {
  mkdirSync(folder, { recursive: true });
  const write = (name: string, content: string | Buffer) => {
    const path = join(folder, name);
    writeFileSync(path, content);
    return path;
  };
  return {
    sites: write("sites.csv", "site_id,name,latitude,longitude,time_zone\nDEPOT,Tram depot,52.5,13.4,Europe/Berlin\n"),
    detectors: write(
      "detectors.csv",
      `detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access\n${detectors
        .map((id) => `${id},DEPOT,Bay ${id},reflective,60,9,90,2022-01-01,35,ladder\n`)
        .join("")}`,
    ),
    // Windows-1252, as its own printers write: the ö and ß are single bytes.
    print: write("print 2024-05.txt", Buffer.from(printed().join("\r\n"), "latin1")),
    levels: write("levels.csv", levels().join("\n")),
  };
}

/** Faults that begin and end in rows of their own; one word no dictionary has, in three of twelve faults. */
function printed(): string[] {
  const rows = ["Datum;Zeit;Loop;Address;Condition;Status;Text"];
  for (let fault = 0; fault < 12; fault += 1) {
    const text = fault % 4 === 3 ? "Größe 7 verfehlt" : "low signal";
    const day = `${String(fault + 10)}.05.2024`;
    const where = `${(fault % 2) + 1};1`;
    rows.push(`${day};08:15:00;${where};Störung;on;${text}`, `${day};09:45:00;${where};Störung;off;${text}`);
  }
  return rows;
}

function levels(): string[] {
  const days = Array.from({ length: 12 }, (_, index) => String(index + 1).padStart(2, "0"));
  return [
    "detector,when,signal %",
    ...days.map((day, index) => `01-001,${day}/${days[11 - index]}/2024 07:30,9${index % 10}.5`),
  ];
}
