import type { Account } from "bellmouth/account";
import { accountTable } from "./account-table.js";
import { figureMarkup, heading, type Level } from "./figure.js";
import { html, type Markup } from "./html.js";

const LEVELS = { danger: "Danger.", caution: "Decision needed.", note: "Note." } as const;
const TONES = { ready: "ready", "decision needed": "decide", "do not use": "stop", told: "told" } as const;

/** What is seen before anything is scrolled: the sentence, the thing to use, pictures, what to do next. */
export function firstScreen(account: Account, stepsHeading: string, level: Level): Markup {
  const { verdict, entry, lead } = account;
  const pictures = lead.map((figure) => figureMarkup(figure, level));
  const steps = stepsMarkup(account, stepsHeading, level);
  const state = html`<p class="state"><span class="tag ${TONES[verdict.level]}">${verdict.words}.</span> ${verdict.sentence}</p>`;
  if (entry.length === 0) {
    return html`${state}${figuresMarkup(account)}${findingsMarkup(account, false)}<div class="pictures">${pictures}</div>${steps}${findingsMarkup(account, true)}`;
  }
  return html`${state}<div class="main"><div>${entry.map((table) => accountTable(table, `${account.kind}-${table.id}-entry`, level))}</div><div>${findingsMarkup(account, false)}${pictures}${steps}${findingsMarkup(account, true)}</div></div>${figuresMarkup(account)}`;
}

function figuresMarkup({ figures }: Account): Markup | null {
  return figures.length === 0
    ? null
    : html`<dl class="figures">${figures.map(
        ({ name, value, interval, meaning }) =>
          html`<div><dt>${name}</dt><dd><b>${value}</b>${interval === "" ? null : html` <span>${interval}</span>`}<small>${meaning}</small></dd></div>`,
      )}</dl>`;
}

/** What needs a decision stands before the pictures; notes, after the steps. */
function findingsMarkup({ findings: all }: Account, notes: boolean): Markup | null {
  const findings = all.filter(({ level }) => (level === "note") === notes);
  return findings.length === 0
    ? null
    : html`<ul class="found">${findings.map(({ level, text }) => html`<li class="${level}"><b>${LEVELS[level]}</b> ${text}</li>`)}</ul>`;
}

function stepsMarkup({ steps, stop }: Account, title: string, level: Level): Markup | null {
  if (steps.length === 0) return null;
  return html`<div class="steps">${heading(level, title)}<ol>${steps.map(
    ({ head, text, command }) =>
      html`<li><b>${head}.</b> ${text}${command === undefined ? null : html`<br><code>${command}</code>`}</li>`,
  )}</ol>${stop === null ? null : html`<p class="halt"><b>Stop:</b> ${stop}</p>`}</div>`;
}
