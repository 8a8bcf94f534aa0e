import type { PlanResult } from "../../stage/index.js";
import { chance } from "../../text/index.js";
import type { Account } from "../account.js";
import { ecuLimitTables } from "./ecu-limit-table.js";
import { headroomFigures, headroomTable, idleWords, usableWords } from "./headroom-parts.js";
import { headroomFigure } from "./room-figures.js";

/** What a plan says of headroom alone. */
export function headroomAccount(plan: PlanResult): Account {
  const { scenarios } = plan.headroom;
  const near = scenarios.filter((scenario) => scenario.chanceOver >= 0.02);
  const idle = idleWords(plan);
  const most = scenarios.reduce((a, b) => (b.chanceOver > a.chanceOver ? b : a));
  return {
    kind: "headroom",
    label: "Headroom",
    title: plan.title,
    verdict: {
      level: near.length > 0 ? "decision needed" : "ready",
      words: near.length > 0 ? "Decision needed" : "Every demand fits",
      sentence: `${usableWords(plan)} ${
        near.length === 0
          ? `No demand exceeds it with a chance of 2 % or more; the nearest, '${most.name}', with ${chance(most.chanceOver)}.`
          : near
              .map(({ name, chanceOver }) => `'${name}' exceeds it with a chance of ${chance(chanceOver)}.`)
              .join(" ")
      }`,
    },
    figures: headroomFigures(plan),
    findings: [],
    entry: [],
    lead: [headroomFigure(plan)],
    steps: [],
    stop: null,
    sections: [
      {
        id: "demands",
        title: "Demands",
        text: idle === null ? [] : [idle],
        tables: [headroomTable(plan), ...ecuLimitTables(plan)],
        figures: [],
      },
    ],
    cautions: plan.cautions,
  };
}
