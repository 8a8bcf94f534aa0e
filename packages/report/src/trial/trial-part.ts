import { figure, percent, type TrialOutcome } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import { html, type Markup } from "../html.js";
import type { ReportPart, Section } from "../page.js";
import { effectFigure } from "./effect-figure.js";
import { levelFigure } from "./level-figure.js";
import { orderFigure } from "./order-figure.js";
import { type Compared, quantityOf } from "./quantity.js";
import { worthFigures } from "./worth-figure.js";

/** A back-to-back trial as part of a page. */
export function trialPart(outcome: TrialOutcome): ReportPart {
  const results = [outcome.pressure, outcome.temperature].filter((one) => one !== null);
  const worth = worthFigures(outcome);
  return {
    kind: "trial",
    label: "Trial",
    title: outcome.title,
    first: firstScreen(
      { ...headline(outcome, results), sentence: outcome.verdict.sentence },
      outcome.keyFigures,
      outcome.verdict.findings,
    ),
    sections: [
      ...results.map(
        (result): Section => ({
          id: quantityOf(result, outcome).id,
          title: quantityOf(result, outcome).title,
          intro: seen(result, outcome),
          figures: [
            levelFigure(result, outcome),
            effectFigure(result, outcome),
            orderFigure(result, outcome),
          ],
        }),
      ),
      ...(worth.length === 0 ? [] : [{ id: "worth", title: "Worth in power", figures: worth }]),
    ],
  };
}

/** The word over the verdict: a difference, none, or a reading that nothing judges. */
function headline(
  { verdict }: TrialOutcome,
  results: readonly Compared[],
): { readonly tone: "go" | "caution" | "plain"; readonly word: string } {
  if (results.every((result) => result.pooled.estimate === null))
    return { tone: "caution", word: "Not judged" };
  const shown = results.some(({ claim }) => claim === "rise" || claim === "fall");
  if (!shown && results.some(({ claim }) => claim === "cannot tell"))
    return { tone: "caution", word: "Cannot tell" };
  const word = shown ? "A difference" : "No difference shown";
  const look = verdict.findings.some((finding) => finding.level === "caution");
  return { tone: look ? "caution" : word === "A difference" ? "go" : "plain", word };
}

/** What the trial could have seen, and what a wanted difference would take. */
function seen(result: Compared, outcome: TrialOutcome): Markup {
  const { show, unit } = quantityOf(result, outcome);
  const could =
    result.detectable === null
      ? "What this trial could have seen cannot be said: nothing tells how well a run repeats."
      : `This trial would have shown a true difference of ${figure(show(result.detectable), 2)} ${unit} with a probability of ${percent(result.power, 2)}.`;
  const { needed } = result;
  const takes =
    needed === null
      ? ""
      : needed.perSide === null
        ? ` How many runs would show ${figure(show(needed.wanted))} ${unit} cannot be said, or is more than 100 a side.`
        : ` To show ${figure(show(needed.wanted))} ${unit} with that probability takes ${needed.perSide} runs a side.`;
  const order =
    needed === null || needed.perSide === null || needed.order.length === 0
      ? null
      : html`<p>Order that keeps drift out: ${needed.order.map((side) => (side === "before" ? "old" : "new")).join(", ")}.</p>`;
  return html`<p>${could}${takes}</p>${order}`;
}
