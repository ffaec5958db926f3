"use server";

import { redirect } from "next/navigation";
import { currentContext } from "@/app/_server/context";
import { jobs } from "@/app/_server/jobs";
import { requirePermission } from "@/lib/services/permissions";

/** Lines up a backtest with the data and settings as they are, and goes to where it is shown. */
export async function rankPastMonths(): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "analyse");
  const id = jobs().create("backtest");
  jobs().start(id);
  redirect(`/proof?job=${id}`);
}
