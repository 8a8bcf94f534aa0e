import type { DocumentKind } from "./document.js";
import type { SimulateDocument } from "./simulate/simulate-document.js";
import { simulateDocument } from "./simulate/simulate-kind.js";
import type { SwapDocument } from "./swap/swap-document.js";
import { swapDocument } from "./swap/swap-kind.js";

/** Every document the library reads; told apart by its `kind`. */
export type AnyDocument = SwapDocument | SimulateDocument;

/** Every kind of document, for readers that take any. A new kind is added here and to `AnyDocument`. */
export const DOCUMENT_KINDS: readonly DocumentKind<AnyDocument>[] = [swapDocument, simulateDocument];
