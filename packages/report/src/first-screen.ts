import { figure } from "bellmouth/stage";
import { html, type Markup } from "./html.js";

/** One of the numbers that matter. */
export interface Key {
  readonly name: string;
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
  readonly meaning: string;
}

export interface Finding {
  readonly level: "danger" | "caution" | "note";
  readonly text: string;
}

/** Verdict, key figures and findings: what is seen before anything is scrolled. */
export function firstScreen(
  verdict: {
    readonly tone: "go" | "caution" | "stop" | "plain";
    readonly word: string;
    readonly sentence: string;
  },
  keys: readonly Key[],
  findings: readonly Finding[],
): Markup {
  const words = { danger: "Danger:", caution: "Decision needed:", note: "Note:" };
  return html`<div class="verdict ${verdict.tone}"><strong>${verdict.word}</strong><p>${verdict.sentence}</p></div><ul class="keys">${keys.map(
    (key) =>
      html`<li><span>${key.name}</span><b>${figure(key.value)} ${key.unit}</b>${
        key.low === null || key.high === null
          ? null
          : html`<span>95 %: ${figure(key.low)} to ${figure(key.high)} ${key.unit}</span>`
      }<span>${key.meaning}</span></li>`,
  )}</ul>${
    findings.length === 0
      ? null
      : html`<ul class="found">${findings.map(({ level, text }) => html`<li><span class="tag ${level}">${words[level]}</span> ${text}</li>`)}</ul>`
  }`;
}
