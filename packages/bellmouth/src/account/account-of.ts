import type { AnyResult } from "../stage/index.js";
import type { Account } from "./account.js";
import { decisionAccount } from "./decide/decision-account.js";
import { driveAccount } from "./drive/drive-account.js";
import { planAccount } from "./plan/plan-account.js";
import { refineAccount } from "./refine/refine-account.js";
import { restrictionAccount } from "./restriction/restriction-account.js";
import { trialAccount } from "./trial/trial-account.js";
import { verifyAccount } from "./verify/verify-account.js";

/** What a stored result of any kind has to say. */
export function accountOf(result: AnyResult): Account {
  switch (result.bellmouth) {
    case "plan 1":
      return planAccount(result);
    case "restriction 1":
      return restrictionAccount(result);
    case "trial 1":
      return trialAccount(result);
    case "decision 1":
      return decisionAccount(result);
    case "refine 1":
      return refineAccount(result);
    case "drive 1":
      return driveAccount(result);
    case "verify 1":
      return verifyAccount(result);
  }
}
