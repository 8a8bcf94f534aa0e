// File 3 of 3: result -> what it has to say. The terminal, Markdown and the page draw it without knowing the stage.
import type { Account } from "bellmouth/account";
import { figure } from "bellmouth/text";
import type { DuctResult } from "./stage.js";

/** What a duct's result has to say. */
export function ductAccount(result: DuctResult): Account {
  const { velocity } = result;
  const [low, high] = [velocity.value - 1.96 * velocity.u, velocity.value + 1.96 * velocity.u];
  return {
    kind: "duct",
    label: "Duct",
    title: result.title,
    verdict: {
      level: "told",
      words: "Computed",
      sentence: `The air passes at ${figure(velocity.value)} m/s; its dynamic head is ${figure(result.head)} Pa.`,
    },
    figures: [
      {
        name: "Mean velocity",
        value: `${figure(velocity.value)} m/s`,
        interval: `95 %: ${figure(low)} to ${figure(high)} m/s`,
        meaning: "Flow over density and area.",
      },
    ],
    findings: [],
    entry: [],
    lead: [],
    steps: [],
    stop: null,
    sections: [],
    cautions: [],
  };
}
