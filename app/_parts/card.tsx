"use client";

import { Card as TremorCard } from "@tremor/react";
import type { ReactNode } from "react";

/** A raised sheet on the page. */
export function Card({ children, className = "" }: { children: ReactNode; className?: string }) {
  return <TremorCard className={`p-5 ${className}`}>{children}</TremorCard>;
}
