import type { DecisionDocument } from "./decision/decision-document.js";
import { decisionDocument } from "./decision/decision-kind.js";
import type { DocumentKind } from "./document.js";
import type { RefineDocument } from "./refine/refine-document.js";
import { refineDocument } from "./refine/refine-kind.js";
import type { RestrictionDocument } from "./restriction/restriction-document.js";
import { restrictionDocument } from "./restriction/restriction-kind.js";
import type { SimulateDocument } from "./simulate/simulate-document.js";
import { simulateDocument } from "./simulate/simulate-kind.js";
import { type SwapDocument, swapDocument } from "./swap/swap-document.js";
import type { TrialDocument } from "./trial/trial-document.js";
import { trialDocument } from "./trial/trial-kind.js";
import { type VerifyDocument, verifyDocument } from "./verify/verify-kind.js";

/** Every document the library reads; told apart by its `kind`. */
export type AnyDocument =
  | SwapDocument
  | RefineDocument
  | SimulateDocument
  | RestrictionDocument
  | TrialDocument
  | DecisionDocument
  | VerifyDocument;

/** Every kind of document, for readers that take any. A new kind is added here and to `AnyDocument`. */
export const DOCUMENT_KINDS: readonly DocumentKind<AnyDocument>[] = [
  swapDocument,
  refineDocument,
  simulateDocument,
  restrictionDocument,
  trialDocument,
  decisionDocument,
  verifyDocument,
];
