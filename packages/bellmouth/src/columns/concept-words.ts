/** What words of a column's name are about. */
export type Concept =
  | "air"
  | "flow"
  | "mass"
  | "meter"
  | "engine"
  | "rotation"
  | "vehicle"
  | "speed"
  | "lambda"
  | "phi"
  | "equivalence"
  | "afr"
  | "wideband"
  | "target"
  | "short"
  | "long"
  | "trim"
  | "coolant"
  | "temperature"
  | "intake"
  | "ambient"
  | "manifold"
  | "pressure"
  | "absolute"
  | "boost"
  | "vacuum"
  | "barometric"
  | "throttle"
  | "pedal"
  | "load"
  | "battery"
  | "voltage"
  | "frequency"
  | "period"
  | "counts"
  | "signal"
  | "resistance"
  | "time"
  | "since"
  | "closed loop"
  | "fuel cut"
  | "oil"
  | "fuel"
  | "exhaust"
  | "catalyst"
  | "gear"
  | "timing"
  | "narrowband"
  | "oxygen"
  | "relative"
  | "gauge"
  | "other part"
  | "second sensor"
  | "split"
  | "volume"
  | "stroke"
  | "position"
  | "angle"
  | "pull"
  | "reading"
  | "idle"
  | "raw"
  | "difference";

/**
 * Words of the trade and what they are about, by language. `word` stands alone, `word*` begins a word, `*word*` may stand inside a
 * compound. Accents and capitals are gone before these are looked at. Common words; no other source.
 */
const WORDS: readonly (readonly [string, ...Concept[]])[] = [
  // Abbreviations and English
  ["maf", "air", "mass", "flow", "meter"],
  ["mafs", "air", "mass", "flow", "meter"],
  ["airflow*", "air", "flow"],
  ["airmass", "air", "mass"],
  ["massflow", "mass", "flow"],
  ["air", "air"],
  ["flow", "flow"],
  ["flowrate", "flow"],
  ["mass", "mass"],
  ["meter", "meter"],
  ["afm", "air", "flow", "meter"],
  ["intakeair*", "intake", "air"],
  ["rpm", "rotation"],
  ["revs", "rotation"],
  ["engine", "engine"],
  ["eng", "engine"],
  ["enginespeed", "engine", "speed"],
  ["enginerpm", "engine", "rotation"],
  ["tach*", "rotation"],
  ["crank", "engine"],
  ["vehicle", "vehicle"],
  ["veh", "vehicle"],
  ["vehiclespeed", "vehicle", "speed"],
  ["car", "vehicle"],
  ["road", "vehicle"],
  ["ground", "vehicle"],
  ["gps", "vehicle"],
  ["vss", "vehicle", "speed"],
  ["speed", "speed"],
  ["speedo*", "vehicle", "speed"],
  ["lambda*", "lambda"],
  ["lam", "lambda"],
  ["phi", "phi"],
  ["equivalence", "equivalence"],
  ["equiv", "equivalence"],
  ["eq", "equivalence"],
  ["eqr", "equivalence"],
  ["afr*", "afr"],
  ["wideband", "wideband"],
  ["wb", "wideband"],
  ["uego", "wideband"],
  ["wbo2", "wideband"],
  ["target*", "target"],
  ["commanded", "target"],
  ["command", "target"],
  ["cmd*", "target"],
  ["desired", "target"],
  ["requested", "target"],
  ["request", "target"],
  ["setpoint", "target"],
  ["tgt", "target"],
  ["demand*", "target"],
  ["goal", "target"],
  ["short", "short"],
  ["shrt", "short"],
  ["st", "short"],
  ["long", "long"],
  ["lt", "long"],
  ["shortterm", "short"],
  ["longterm", "long"],
  ["lg", "long"],
  ["*trim*", "trim"],
  ["ft", "trim"],
  ["fueltrim", "fuel", "trim"],
  ["stft*", "short", "trim"],
  ["ltft*", "long", "trim"],
  ["shrtft*", "short", "trim"],
  ["longft*", "long", "trim"],
  ["shortft*", "short", "trim"],
  ["sft", "short", "trim"],
  ["lft", "long", "trim"],
  ["correction*", "trim"],
  ["correccion*", "trim"],
  ["correcao*", "trim"],
  ["corr", "trim"],
  ["coolant*", "coolant"],
  ["ect*", "coolant", "temperature"],
  ["clt", "coolant", "temperature"],
  ["water", "coolant"],
  ["watertemp*", "coolant", "temperature"],
  ["coolanttemp*", "coolant", "temperature"],
  ["intaketemp*", "intake", "temperature"],
  ["temp", "temperature"],
  ["temperature*", "temperature"],
  ["tmp", "temperature"],
  ["*temperat*", "temperature"],
  ["tmpr", "temperature"],
  ["degrees", "temperature"],
  ["iat*", "intake", "air", "temperature"],
  ["act", "intake", "air", "temperature"],
  ["mat", "intake", "air", "temperature"],
  ["intake*", "intake"],
  ["inlet", "intake"],
  ["induction", "intake"],
  ["ambient*", "ambient"],
  ["outside", "ambient"],
  ["outdoor", "ambient"],
  ["oat", "ambient", "temperature"],
  ["aat", "ambient", "temperature"],
  ["map", "manifold", "pressure", "absolute"],
  ["manifold*", "manifold"],
  ["mani", "manifold"],
  ["manif", "manifold"],
  ["pressure*", "pressure"],
  ["press", "pressure"],
  ["pres", "pressure"],
  ["absolute", "absolute"],
  ["abs", "absolute"],
  ["boost*", "boost", "pressure"],
  ["vacuum*", "vacuum", "pressure"],
  ["depression", "vacuum", "pressure"],
  ["baro*", "barometric", "pressure"],
  ["atmospheric", "barometric"],
  ["atm", "barometric"],
  ["gauge", "gauge"],
  ["throttle*", "throttle"],
  ["tps*", "throttle"],
  ["thr", "throttle"],
  ["pedal*", "pedal"],
  ["accelerator", "pedal"],
  ["app", "pedal"],
  ["load", "load"],
  ["index", "other part"],
  ["position", "position"],
  ["pos", "position"],
  ["angle", "angle"],
  ["battery", "battery"],
  ["batt", "battery"],
  ["vbat*", "battery", "voltage"],
  ["module", "battery"],
  ["supply", "battery"],
  ["charging", "battery"],
  ["voltage*", "voltage"],
  ["volts", "voltage"],
  ["volt", "voltage"],
  ["frequency", "frequency"],
  ["freq", "frequency"],
  ["hz", "frequency"],
  ["khz", "frequency"],
  ["period*", "period"],
  ["counts", "counts"],
  ["count", "counts"],
  ["adc", "counts"],
  ["raw", "raw"],
  ["signal*", "signal"],
  ["sensor", "reading"],
  ["output", "signal"],
  ["resistance", "resistance"],
  ["resistans", "resistance"],
  ["ohms", "resistance"],
  ["ohm", "resistance"],
  ["time*", "time"],
  ["timestamp", "time"],
  ["elapsed", "time"],
  ["seconds", "time"],
  ["clock", "time"],
  ["stamp", "time"],
  ["datetime", "time"],
  ["runtime", "time", "since"],
  ["since", "since"],
  ["run", "pull"],
  ["closedloop", "closed loop"],
  ["loop", "closed loop"],
  ["fuelcut*", "fuel cut"],
  ["overrun", "fuel cut"],
  ["dfco", "fuel cut"],
  ["cutoff", "fuel cut"],
  ["oil", "oil"],
  ["fuel", "fuel"],
  ["exhaust", "exhaust"],
  ["egt", "exhaust", "temperature"],
  ["catalyst", "catalyst"],
  ["cat", "catalyst"],
  ["gear", "gear"],
  ["timing", "timing"],
  ["ignition", "timing"],
  ["spark", "timing"],
  ["advance", "timing"],
  ["knock", "timing"],
  ["o2*", "oxygen"],
  ["oxygen", "oxygen"],
  ["narrowband", "narrowband"],
  ["relative", "relative"],
  ["rel", "relative"],
  ["idle", "idle"],
  ["fan", "other part"],
  ["turbine", "other part"],
  ["turbo", "other part"],
  ["wheel*", "other part"],
  ["transmission", "other part"],
  ["trans", "other part"],
  ["gearbox", "other part"],
  ["shaft", "other part"],
  ["tire", "other part"],
  ["tyre", "other part"],
  ["wind", "other part"],
  ["pump", "other part"],
  ["rail", "other part"],
  ["injector", "other part"],
  ["evap*", "other part"],
  ["purge", "other part"],
  ["egr*", "other part"],
  ["alternator", "other part"],
  ["brake", "other part"],
  ["heater", "other part"],
  ["cylinder", "other part"],
  ["head", "other part"],
  ["actuator", "other part"],
  ["distance", "other part"],
  ["mil", "other part"],
  ["dtc", "other part"],
  ["wastegate", "other part"],
  ["cam*", "other part"],
  ["vvt", "other part"],
  ["duty", "other part"],
  ["level", "other part"],
  ["tank", "other part"],
  ["altitude", "other part"],
  ["status", "other part"],
  ["driver", "split"],
  ["trip*", "split"],
  ["segment*", "split"],
  ["session*", "split"],
  ["drive", "split"],
  ["ride", "split"],
  ["leg", "split"],
  ["lap", "split"],
  ["run", "split"],
  ["pull", "split"],
  ["logid", "split"],
  ["recording", "split"],
  ["cfm", "volume", "flow"],
  ["volume*", "volume"],
  ["stroke", "stroke"],
  ["charge", "intake"],
  ["pull", "pull"],
  ["drop", "difference"],
  ["axis", "signal"],
  ["breakpoint*", "signal"],
  // German
  ["*luft*", "air"],
  ["*luftmass*", "air", "mass", "flow", "meter"],
  ["*massenstrom*", "mass", "flow"],
  ["*durchsatz*", "flow"],
  ["*durchfluss*", "flow"],
  ["*strom", "flow"],
  ["lmm", "air", "mass", "flow", "meter"],
  ["*luftmenge*", "air", "flow"],
  ["*drehzahl*", "rotation"],
  ["*umdrehung*", "rotation"],
  ["motor*", "engine"],
  ["*geschwindigkeit*", "speed"],
  ["fahrzeug*", "vehicle"],
  ["fahr*", "vehicle"],
  ["tempo", "time"],
  ["luftzahl", "lambda"],
  ["luftverhaltnis", "lambda"],
  ["soll*", "target"],
  ["*soll", "target"],
  ["vorgabe", "target"],
  ["zielwert", "target"],
  ["kurz*", "short"],
  ["lang*", "long"],
  ["*korrekt*", "trim"],
  ["*correct*", "trim"],
  ["*adaption*", "trim"],
  ["gemisch*", "fuel"],
  ["kraftstoff*", "fuel"],
  ["*kuhlmittel*", "coolant"],
  ["*kuehlmittel*", "coolant"],
  ["*kuhlwasser*", "coolant"],
  ["*kuehlwasser*", "coolant"],
  ["wasser*", "coolant"],
  ["*ansaug*", "intake"],
  ["*einlass*", "intake"],
  ["*saugrohr*", "manifold"],
  ["*druck*", "pressure"],
  ["*luftdruck*", "barometric", "pressure"],
  ["*umgebung*", "ambient"],
  ["aussen*", "ambient"],
  ["*ladedruck*", "boost", "pressure"],
  ["*ladeluft*", "intake", "air"],
  ["*unterdruck*", "vacuum", "pressure"],
  ["absolut*", "absolute"],
  ["*drosselklappe*", "throttle"],
  ["*gaspedal*", "pedal"],
  ["*fahrpedal*", "pedal"],
  ["last", "load"],
  ["motorlast", "engine", "load"],
  ["*batterie*", "battery"],
  ["bordnetz*", "battery"],
  ["*spannung*", "voltage"],
  ["*frequenz*", "frequency"],
  ["*periode*", "period"],
  ["*widerstand*", "resistance"],
  ["*zeit", "time"],
  ["zeit*", "time"],
  ["uhrzeit", "time"],
  ["sekunden", "time"],
  ["*laufzeit*", "since"],
  ["fahrer*", "split"],
  ["fahrt*", "split"],
  ["*winkel*", "angle"],
  ["ol", "oil"],
  ["*oltemp*", "oil", "temperature"],
  ["*abgas*", "exhaust"],
  ["*zund*", "timing"],
  ["messung", "pull"],
  ["lauf", "pull"],
  ["hub", "stroke"],
  // French
  ["debit*", "flow"],
  ["massique", "mass"],
  ["masse", "mass"],
  ["debitmetre", "air", "mass", "flow", "meter"],
  ["regime", "rotation"],
  ["moteur", "engine"],
  ["vitesse", "speed"],
  ["vehicule", "vehicle"],
  ["richesse", "phi"],
  ["consigne", "target"],
  ["cible", "target"],
  ["objectif", "target"],
  ["demandee", "target"],
  ["court*", "short"],
  ["long", "long"],
  ["correction", "trim"],
  ["*ajustement*", "trim"],
  ["eau", "coolant"],
  ["refroidissement", "coolant"],
  ["temperature", "temperature"],
  ["admission", "intake"],
  ["collecteur", "manifold"],
  ["tubulure", "manifold"],
  ["pression", "pressure"],
  ["suralimentation", "boost"],
  ["atmospherique", "barometric"],
  ["ambiant*", "ambient"],
  ["exterieur*", "ambient"],
  ["papillon", "throttle"],
  ["pedale", "pedal"],
  ["charge", "load"],
  ["batterie", "battery"],
  ["tension", "voltage"],
  ["temps", "time"],
  ["heure", "time"],
  ["horodat*", "time"],
  ["secondes", "time"],
  ["conducteur", "split"],
  ["trajet", "split"],
  ["huile", "oil"],
  ["carburant", "fuel"],
  ["echappement", "exhaust"],
  ["essai", "pull"],
  ["passage", "pull"],
  ["absolue", "absolute"],
  // Spanish
  ["caudal*", "flow"],
  ["flujo", "flow"],
  ["masa", "mass"],
  ["masico", "mass"],
  ["aire", "air"],
  ["caudalimetro", "air", "mass", "flow", "meter"],
  ["regimen", "rotation"],
  ["revoluciones", "rotation"],
  ["giro", "rotation"],
  ["velocidad", "speed"],
  ["vehiculo", "vehicle"],
  ["riqueza", "phi"],
  ["objetivo", "target"],
  ["deseada", "target"],
  ["deseado", "target"],
  ["consignada", "target"],
  ["corto", "short"],
  ["corta", "short"],
  ["largo", "long"],
  ["larga", "long"],
  ["ajuste", "trim"],
  ["correccion", "trim"],
  ["refrigerante", "coolant"],
  ["agua", "coolant"],
  ["admision", "intake"],
  ["colector", "manifold"],
  ["multiple", "manifold"],
  ["presion", "pressure"],
  ["sobrealimentacion", "boost"],
  ["turbo", "other part"],
  ["barometrica", "barometric"],
  ["atmosferica", "barometric"],
  ["ambiente", "ambient"],
  ["exterior", "ambient"],
  ["absoluta", "absolute"],
  ["mariposa", "throttle"],
  ["acelerador", "pedal"],
  ["carga", "load"],
  ["bateria", "battery"],
  ["voltaje", "voltage"],
  ["frecuencia", "frequency"],
  ["periodo", "period"],
  ["senal", "signal"],
  ["resistencia", "resistance"],
  ["tiempo", "time"],
  ["hora", "time"],
  ["segundos", "time"],
  ["conductor", "split"],
  ["viaje", "split"],
  ["aceite", "oil"],
  ["combustible", "fuel"],
  ["escape", "exhaust"],
  ["tirada", "pull"],
  ["prueba", "pull"],
  // Italian
  ["portata", "flow"],
  ["flusso", "flow"],
  ["massa", "mass"],
  ["aria", "air"],
  ["debimetro", "air", "mass", "flow", "meter"],
  ["giri", "rotation"],
  ["motore", "engine"],
  ["velocita", "speed"],
  ["veicolo", "vehicle"],
  ["ricchezza", "phi"],
  ["obiettivo", "target"],
  ["richiesta", "target"],
  ["desiderato", "target"],
  ["breve", "short"],
  ["lungo", "long"],
  ["correzione", "trim"],
  ["acqua", "coolant"],
  ["liquido", "coolant"],
  ["raffreddamento", "coolant"],
  ["aspirazione", "intake"],
  ["aspirata", "intake"],
  ["collettore", "manifold"],
  ["pressione", "pressure"],
  ["sovralimentazione", "boost"],
  ["atmosferica", "barometric"],
  ["esterna", "ambient"],
  ["esterno", "ambient"],
  ["assoluta", "absolute"],
  ["farfalla", "throttle"],
  ["acceleratore", "pedal"],
  ["carico", "load"],
  ["batteria", "battery"],
  ["tensione", "voltage"],
  ["frequenza", "frequency"],
  ["segnale", "signal"],
  ["resistenza", "resistance"],
  ["tempo", "time"],
  ["ora", "time"],
  ["secondi", "time"],
  ["guidatore", "split"],
  ["viaggio", "split"],
  ["conducente", "split"],
  ["olio", "oil"],
  ["carburante", "fuel"],
  ["scarico", "exhaust"],
  ["prova", "pull"],
  ["lancio", "pull"],
  ["temperatura", "temperature"],
  // Portuguese
  ["fluxo", "flow"],
  ["vazao", "flow"],
  ["ar", "air"],
  ["rotacao", "rotation"],
  ["rotacoes", "rotation"],
  ["velocidade", "speed"],
  ["veiculo", "vehicle"],
  ["alvo", "target"],
  ["desejado", "target"],
  ["desejada", "target"],
  ["curto", "short"],
  ["correcao", "trim"],
  ["arrefecimento", "coolant"],
  ["arrefecedor", "coolant"],
  ["admissao", "intake"],
  ["coletor", "manifold"],
  ["pressao", "pressure"],
  ["sobrealimentacao", "boost"],
  ["barometrica", "barometric"],
  ["borboleta", "throttle"],
  ["tensao", "voltage"],
  ["frequencia", "frequency"],
  ["sinal", "signal"],
  ["motorista", "split"],
  ["condutor", "split"],
  ["viagem", "split"],
  ["oleo", "oil"],
  ["combustivel", "fuel"],
  ["puxada", "pull"],
  ["passagem", "pull"],
  // Dutch
  ["*toerental*", "rotation"],
  ["*lucht*", "air"],
  ["*stroom", "flow"],
  ["*luchtmassa*", "air", "mass", "flow", "meter"],
  ["*snelheid*", "speed"],
  ["voertuig*", "vehicle"],
  ["rij*", "vehicle"],
  ["gewenst*", "target"],
  ["streef*", "target"],
  ["doel*", "target"],
  ["kort*", "short"],
  ["*correctie*", "trim"],
  ["*koelvloeistof*", "coolant"],
  ["*koelwater*", "coolant"],
  ["*inlaat*", "intake"],
  ["*spruitstuk*", "manifold"],
  ["*druk*", "pressure"],
  ["*luchtdruk*", "barometric", "pressure"],
  ["atmosfer*", "barometric"],
  ["*omgeving*", "ambient"],
  ["buiten*", "ambient"],
  ["*laaddruk*", "boost", "pressure"],
  ["brandstof*", "fuel"],
  ["*gasklep*", "throttle"],
  ["belasting", "load"],
  ["accu*", "battery"],
  ["*spanning*", "voltage"],
  ["*frequen*", "frequency"],
  ["weerstand", "resistance"],
  ["signaal", "signal"],
  ["*tijd", "time"],
  ["tijd*", "time"],
  ["seconden", "time"],
  ["bestuurder", "split"],
  ["rit", "split"],
  ["olie*", "oil"],
  ["uitlaat*", "exhaust"],
  ["meting", "pull"],
  // Polish
  ["obroty", "rotation"],
  ["obrotow*", "rotation"],
  ["silnik*", "engine"],
  ["powietrz*", "air"],
  ["przeplyw*", "flow"],
  ["masow*", "mass"],
  ["masa", "mass"],
  ["przeplywomierz*", "air", "mass", "flow", "meter"],
  ["predkosc", "speed"],
  ["pojazd*", "vehicle"],
  ["zadan*", "target"],
  ["docelow*", "target"],
  ["krotk*", "short"],
  ["dlug*", "long"],
  ["korekt*", "trim"],
  ["korekcj*", "trim"],
  ["plyn*", "coolant"],
  ["ciecz*", "coolant"],
  ["chlodz*", "coolant"],
  ["dolot*", "intake"],
  ["ssac*", "intake"],
  ["dolotow*", "intake"],
  ["kolektor*", "manifold"],
  ["cisnieni*", "pressure"],
  ["doladowani*", "boost"],
  ["atmosferyczn*", "barometric"],
  ["barometryczn*", "barometric"],
  ["otoczeni*", "ambient"],
  ["zewnetrzn*", "ambient"],
  ["bezwzgledn*", "absolute"],
  ["przepustnic*", "throttle"],
  ["pedal*", "pedal"],
  ["obciazeni*", "load"],
  ["akumulator*", "battery"],
  ["napieci*", "voltage"],
  ["czestotliwosc*", "frequency"],
  ["okres", "period"],
  ["sygnal*", "signal"],
  ["rezystancj*", "resistance"],
  ["opor", "resistance"],
  ["czas", "time"],
  ["godzina", "time"],
  ["kierowca", "split"],
  ["przejazd", "split"],
  ["trasa", "split"],
  ["olej*", "oil"],
  ["paliw*", "fuel"],
  ["spalin*", "exhaust"],
  ["przebieg", "pull"],
  ["pomiar", "pull"],
  ["proba", "pull"],
  // Swedish
  ["*varvtal*", "rotation"],
  ["*flode*", "flow"],
  ["*hastighet*", "speed"],
  ["fordon*", "vehicle"],
  ["borvarde", "target"],
  ["mal", "target"],
  ["onskad*", "target"],
  ["*kylvatske*", "coolant"],
  ["*kylvatten*", "coolant"],
  ["*insug*", "intake"],
  ["*grenror*", "manifold"],
  ["*tryck*", "pressure"],
  ["*lufttryck*", "barometric", "pressure"],
  ["*laddtryck*", "boost", "pressure"],
  ["*omgivning*", "ambient"],
  ["ute*", "ambient"],
  ["*bransle*", "fuel"],
  ["*spjall*", "throttle"],
  ["trottel*", "throttle"],
  ["belastning", "load"],
  ["*spanning", "voltage"],
  ["frekvens", "frequency"],
  ["motstand", "resistance"],
  ["tid", "time"],
  ["*tid", "time"],
  ["forare", "split"],
  ["resa", "split"],
  ["olja*", "oil"],
  ["avgas*", "exhaust"],
  ["korning", "pull"],
  ["luftmassa*", "air", "mass", "flow", "meter"],
];

interface Entry {
  readonly body: string;
  readonly kind: "word" | "start" | "end" | "inside";
  readonly concepts: readonly Concept[];
}
const ENTRIES: readonly Entry[] = WORDS.map(([pattern, ...concepts]) => {
  const body = pattern.replaceAll("*", "");
  const kind = pattern.startsWith("*")
    ? pattern.endsWith("*")
      ? "inside"
      : "end"
    : pattern.endsWith("*")
      ? "start"
      : "word";
  return { body, kind, concepts };
});
const WHOLE = new Map<string, Concept[]>();
for (const { body, kind, concepts } of ENTRIES) {
  if (kind === "word") WHOLE.set(body, [...(WHOLE.get(body) ?? []), ...concepts]);
}
const PARTS = ENTRIES.filter(({ kind }) => kind !== "word");

/** `SHORT_TERM_FUEL_TRIM_BANK_1`, `Kühlmittel-Temp.` -> words in lower case without accents. */
export const wordsOf = (name: string): readonly string[] =>
  name
    .replace(/ß/gu, "ss")
    .replace(/ł/gu, "l")
    .replace(/Ł/gu, "L")
    .replace(/ø/gu, "o")
    .replace(/Ø/gu, "O")
    .replace(/λ/gu, " lambda ")
    .replace(/[φϕ]/gu, " phi ")
    .normalize("NFD")
    .replace(/[\u0300-\u036f]/gu, "")
    .replace(/([a-z])([A-Z])/gu, "$1 $2")
    .replace(/([A-Z]{2,})([A-Z][a-z])/gu, "$1 $2")
    .toLowerCase()
    .split(/[^a-z0-9]+/u)
    .filter((word) => word !== "");

/** What one word is about. */
function conceptsOfWord(word: string): readonly Concept[] {
  const bare = word.replace(/\d+$/u, "");
  const whole = WHOLE.get(word) ?? WHOLE.get(bare);
  const parts = PARTS.filter(({ body, kind }) =>
    kind === "start" ? word.startsWith(body) : kind === "end" ? word.endsWith(body) : word.includes(body),
  ).flatMap(({ concepts }) => concepts);
  return whole === undefined ? parts : [...whole, ...parts];
}

/** Two words that are about something else together than alone. */
const PAIRS: readonly (readonly [RegExp, readonly Concept[]])[] = [
  [/\bclosed loop\b/u, ["closed loop"]],
  [/\bair (?:to )?fuel\b|\ba f\b|\bafr\b/u, ["afr"]],
  [/\bfuel (?:to )?air\b/u, ["equivalence"]],
  [/\bcourt terme\b|\bcorto plazo\b|\bcurto prazo\b|\bbreve termine\b|\bkorte termijn\b/u, ["short"]],
  [/\blong terme\b|\blargo plazo\b|\blongo prazo\b|\blungo termine\b|\blange termijn\b/u, ["long"]],
];

/** What a column's name is about. */
export function conceptsOf(name: string): ReadonlySet<Concept> {
  const words = wordsOf(name);
  const found = new Set(words.flatMap(conceptsOfWord));
  const text = words.join(" ");
  for (const [pattern, concepts] of PAIRS)
    if (pattern.test(text)) for (const concept of concepts) found.add(concept);
  return found;
}

/** Bank and sensor that a name's numbers speak of: `B1S2`, `Bank 2`, `STFT 1`, `MAF B`, `links`. */
export function bankOf(name: string): { readonly bank: 1 | 2 | null; readonly sensor: number | null } {
  const words = wordsOf(name.replace(/([A-Za-z])(\d)/gu, "$1 $2")).join(" ");
  const joined = wordsOf(name).join(" ");
  const both = /\bb(?:ank)?\s*([12])\s*s(?:ensor)?\s*(\d)\b/u.exec(words);
  const sensor = both?.[2] ?? /\bs(?:ensor)?\s*(\d)\b/u.exec(words)?.[1];
  const bank =
    both?.[1] ??
    /\b(?:bank|bench|banc|banco|bancata|bancada|b|cylinderbank|zylinderbank|rzad|rij)\s*([12])\b/u.exec(
      words,
    )?.[1] ??
    /\b(?:stft|ltft|ft|trim|maf|lambda|afr|flow|terme|plazo|prazo|termine|correction|lam|trimm|airflow)\s*([12])\b/u.exec(
      words,
    )?.[1] ??
    (/\b(?:left|links|gauche|izquierda|sinistra|esquerda|lewy|vanster)\b/u.test(joined)
      ? "1"
      : /\b(?:right|rechts|droite|derecha|destra|direita|prawy|hoger)\b/u.test(joined)
        ? "2"
        : (/\b(?:maf|airflow|flow)\s*([ab])\b/u.exec(joined)?.[1] ?? "").replace("a", "1").replace("b", "2"));
  return {
    bank: bank === "1" ? 1 : bank === "2" ? 2 : null,
    sensor: sensor === undefined ? null : Number(sensor),
  };
}
