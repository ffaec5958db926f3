import "@/app/globals.css";
import type { Metadata } from "next";
import type { ReactNode } from "react";
import { dataFont, proseFont } from "@/app/_parts/fonts";
import { Footer } from "@/app/_parts/footer";
import { Masthead } from "@/app/_parts/masthead";
import { currentTheme } from "@/app/_server/theme";

export const metadata: Metadata = {
  title: { default: "Rafterline", template: "%s · Rafterline" },
  description: "Which beam smoke detectors deserve a preventive visit, and why.",
};

/** The sheet every page is written on. */
export default async function Layout({ children }: { children: ReactNode }) {
  const theme = await currentTheme();
  return (
    <html
      lang="en"
      data-theme={theme === "system" ? undefined : theme}
      className={`${dataFont.variable} ${proseFont.variable}`}
    >
      <body className="flex min-h-dvh flex-col bg-paper text-ink">
        <a
          href="#content"
          className="absolute top-2 left-2 z-10 -translate-y-20 bg-raised px-4 py-2 focus-visible:translate-y-0"
        >
          Skip to the page
        </a>
        <Masthead />
        <main
          id="content"
          tabIndex={-1}
          className="mx-auto w-full max-w-[84rem] flex-1 px-5 pt-10 outline-none sm:px-8"
        >
          {children}
        </main>
        <Footer theme={theme} />
      </body>
    </html>
  );
}
