import type { ChannelName } from "./channels.js";

/** Names by which logs and tables of the trade head a column. From memory and common practice, no source. */
export type Language = "en" | "de" | "fr" | "es" | "it" | "pt" | "nl" | "pl" | "sv";

/** A name, and the family of meanings it allows where the word itself says so. */
export interface Entry {
  readonly name: string;
  readonly channel: ChannelName;
  readonly family?: string;
  readonly language: Language;
}

/** `name/family`; several names of one channel stand side by side, the unmistakable ones first. */
const WORDS: Readonly<Record<Language, Partial<Record<ChannelName, string>>>> = {
  en: {
    time: "Time|Elapsed Time|Timestamp",
    signal: "MAF Frequency/frequency|MAF Voltage/voltage|MAF Period/period|MAF Counts/counts|MAF Signal|MAF",
    airflow: "Mass Airflow|MAF Rate|Airflow|Flow|MAF",
    "airflow 2": "Mass Airflow Bank 2|Mass Airflow",
    "engine speed": "Engine Speed|Engine RPM|RPM|Speed",
    lambda:
      "Lambda/lambda|Lambda Measured/lambda|AFR/afr|Wideband AFR/afr|Equivalence Ratio/lambda|Equivalence Ratio/phi|Fuel-Air Equivalence Ratio/phi",
    "lambda 2": "Lambda Bank 2/lambda|Lambda/lambda|AFR/afr",
    "lambda target": "Lambda Target/lambda|AFR Target/afr|Lambda Commanded/lambda|AFR/afr",
    "short trim": "Short Term Fuel Trim|STFT|STFT Bank 1|Fuel Trim",
    "long trim": "Long Term Fuel Trim|LTFT|LTFT Bank 1|Fuel Trim",
    "short trim 2": "STFT Bank 2",
    "long trim 2": "LTFT Bank 2",
    coolant: "Coolant Temp|Engine Coolant Temperature|ECT|Temperature",
    "intake air": "Intake Air Temp|IAT|Temperature",
    "manifold pressure": "Manifold Absolute Pressure/absolute|MAP|Boost/gauge|Manifold Pressure|Pressure",
    barometer: "Barometric Pressure/absolute|Baro/absolute|Pressure",
    throttle: "Throttle Position|Throttle|TPS",
    "vehicle speed": "Vehicle Speed|Road Speed|Speed",
    temperature: "Temperature|Temp",
    resistance: "Resistance",
    "input voltage": "Voltage/voltage|Input Voltage/voltage|ADC/counts",
    "pressure drop": "Pressure Drop",
    extra:
      "Oil Temp|Fuel Level|Battery Voltage|Ignition Timing|Gear|Calculated Load|Temperature|Pressure|Lap Distance",
  },
  de: {
    time: "Zeit|Laufzeit",
    signal: "LMM Frequenz/frequency|LMM Spannung/voltage|LMM Periodendauer/period",
    airflow: "Luftmasse|Luftmassenstrom",
    "engine speed": "Drehzahl|Motordrehzahl",
    lambda: "Lambda/lambda|Luftzahl/lambda",
    "lambda target": "Lambda Soll/lambda",
    "short trim": "Kurzzeit-Kraftstoffkorrektur|Lambdaregler",
    "long trim": "Langzeit-Kraftstoffkorrektur",
    coolant: "Kühlmitteltemperatur|Motortemperatur",
    "intake air": "Ansauglufttemperatur",
    "manifold pressure": "Saugrohrdruck|Ladedruck",
    barometer: "Umgebungsdruck/absolute|Luftdruck/absolute",
    throttle: "Drosselklappe|Drosselklappenstellung",
    "vehicle speed": "Geschwindigkeit|Fahrgeschwindigkeit",
    temperature: "Temperatur",
    resistance: "Widerstand",
    "input voltage": "Spannung/voltage",
    "pressure drop": "Druckverlust",
    extra: "Öltemperatur|Tankinhalt|Bordspannung|Zündwinkel|Drehmoment|Luftmasse pro Hub",
  },
  fr: {
    time: "Temps",
    signal: "Fréquence débitmètre/frequency|Tension débitmètre/voltage",
    airflow: "Débit d'air|Débit air massique",
    "engine speed": "Régime moteur|Régime",
    lambda: "Lambda/lambda|Richesse/phi",
    "lambda target": "Consigne lambda/lambda|Consigne richesse/phi",
    "short trim": "Correction court terme",
    "long trim": "Correction long terme",
    coolant: "Température eau|Température liquide de refroidissement",
    "intake air": "Température air admission",
    "manifold pressure": "Pression collecteur|Pression admission",
    barometer: "Pression atmosphérique/absolute",
    throttle: "Position papillon|Papillon",
    "vehicle speed": "Vitesse véhicule",
    temperature: "Température",
    resistance: "Résistance",
    "input voltage": "Tension/voltage",
    "pressure drop": "Perte de charge",
    extra: "Couple|Tension batterie|Niveau carburant|Avance",
  },
  es: {
    time: "Tiempo",
    signal: "Frecuencia caudalímetro/frequency|Tensión caudalímetro/voltage",
    airflow: "Caudal de aire|Flujo de aire",
    "engine speed": "Régimen del motor|Revoluciones",
    lambda: "Lambda/lambda|Riqueza/phi",
    "lambda target": "Lambda objetivo/lambda",
    "short trim": "Ajuste corto plazo",
    "long trim": "Ajuste largo plazo",
    coolant: "Temperatura refrigerante",
    "intake air": "Temperatura aire admisión",
    "manifold pressure": "Presión colector|Presión admisión",
    barometer: "Presión atmosférica/absolute",
    throttle: "Mariposa|Posición mariposa",
    "vehicle speed": "Velocidad vehículo",
    temperature: "Temperatura",
    resistance: "Resistencia",
    "input voltage": "Tensión/voltage",
    "pressure drop": "Caída de presión",
    extra: "Par motor|Nivel combustible|Tensión batería",
  },
  it: {
    time: "Tempo",
    signal: "Frequenza debimetro/frequency|Tensione debimetro/voltage",
    airflow: "Portata aria|Massa aria",
    "engine speed": "Regime motore|Giri motore",
    lambda: "Lambda/lambda",
    "lambda target": "Lambda obiettivo/lambda",
    "short trim": "Correzione breve termine",
    "long trim": "Correzione lungo termine",
    coolant: "Temperatura acqua|Temperatura liquido refrigerante",
    "intake air": "Temperatura aria aspirata",
    "manifold pressure": "Pressione collettore",
    barometer: "Pressione atmosferica/absolute",
    throttle: "Farfalla|Posizione farfalla",
    "vehicle speed": "Velocità veicolo",
    temperature: "Temperatura",
    resistance: "Resistenza",
    "input voltage": "Tensione/voltage",
    extra: "Coppia|Livello carburante|Anticipo",
  },
  pt: {
    time: "Tempo",
    signal: "Frequência MAF/frequency|Tensão MAF/voltage",
    airflow: "Fluxo de ar|Massa de ar",
    "engine speed": "Rotação do motor|Rotação",
    lambda: "Lambda/lambda",
    "lambda target": "Lambda alvo/lambda",
    "short trim": "Ajuste curto prazo",
    "long trim": "Ajuste longo prazo",
    coolant: "Temperatura do líquido de arrefecimento|Temperatura da água",
    "intake air": "Temperatura do ar de admissão",
    "manifold pressure": "Pressão do coletor",
    barometer: "Pressão atmosférica/absolute",
    throttle: "Borboleta|Posição da borboleta",
    "vehicle speed": "Velocidade do veículo",
    temperature: "Temperatura",
    resistance: "Resistência",
    "input voltage": "Tensão/voltage",
    extra: "Torque|Nível de combustível",
  },
  nl: {
    time: "Tijd",
    signal: "Frequentie luchtmassameter/frequency|Spanning luchtmassameter/voltage",
    airflow: "Luchtmassa|Luchtmassastroom",
    "engine speed": "Toerental|Motortoerental",
    lambda: "Lambda/lambda",
    "lambda target": "Lambda doel/lambda",
    "short trim": "Brandstofcorrectie korte termijn",
    "long trim": "Brandstofcorrectie lange termijn",
    coolant: "Koelvloeistoftemperatuur",
    "intake air": "Inlaatluchttemperatuur",
    "manifold pressure": "Inlaatdruk|Spruitstukdruk",
    barometer: "Luchtdruk/absolute",
    throttle: "Gasklep|Gasklepstand",
    "vehicle speed": "Rijsnelheid|Snelheid",
    temperature: "Temperatuur",
    resistance: "Weerstand",
    "input voltage": "Spanning/voltage",
    extra: "Koppel|Brandstofniveau|Accuspanning",
  },
  pl: {
    time: "Czas",
    signal: "Częstotliwość przepływomierza/frequency|Napięcie przepływomierza/voltage",
    airflow: "Przepływ powietrza|Masa powietrza",
    "engine speed": "Obroty silnika|Prędkość obrotowa",
    lambda: "Lambda/lambda",
    "lambda target": "Lambda zadana/lambda",
    "short trim": "Korekta krótkoterminowa",
    "long trim": "Korekta długoterminowa",
    coolant: "Temperatura płynu chłodzącego",
    "intake air": "Temperatura powietrza dolotowego",
    "manifold pressure": "Ciśnienie w kolektorze",
    barometer: "Ciśnienie atmosferyczne/absolute",
    throttle: "Przepustnica|Położenie przepustnicy",
    "vehicle speed": "Prędkość pojazdu",
    temperature: "Temperatura",
    resistance: "Rezystancja",
    "input voltage": "Napięcie/voltage",
    extra: "Moment obrotowy|Poziom paliwa",
  },
  sv: {
    time: "Tid",
    signal: "Luftmassemätare frekvens/frequency|Luftmassemätare spänning/voltage",
    airflow: "Luftmassa|Luftflöde",
    "engine speed": "Motorvarvtal|Varvtal",
    lambda: "Lambda/lambda",
    "lambda target": "Lambda börvärde/lambda",
    "short trim": "Bränslekorrektion kort tid",
    "long trim": "Bränslekorrektion lång tid",
    coolant: "Kylvätsketemperatur|Kylvattentemperatur",
    "intake air": "Insugsluftens temperatur|Insugstemperatur",
    "manifold pressure": "Insugstryck|Grenrörstryck",
    barometer: "Lufttryck/absolute",
    throttle: "Gasspjäll|Trottel",
    "vehicle speed": "Fordonshastighet|Hastighet",
    temperature: "Temperatur",
    resistance: "Resistans",
    "input voltage": "Spänning/voltage",
    extra: "Vridmoment|Bränslenivå",
  },
};

export const LANGUAGES = Object.keys(WORDS) as readonly Language[];

export const LEXICON: readonly Entry[] = Object.entries(WORDS).flatMap(([language, words]) =>
  Object.entries(words).flatMap(([channel, names]) =>
    names.split("|").map((written): Entry => {
      const [name = "", family] = written.split("/");
      return {
        name,
        channel: channel as ChannelName,
        language: language as Language,
        ...(family === undefined ? {} : { family }),
      };
    }),
  ),
);

/** The names of a channel in a language, those that allow the family first listed first. */
export function namesOf(language: Language, channel: ChannelName, family?: string): readonly string[] {
  return LEXICON.filter(
    (e) =>
      e.language === language &&
      e.channel === channel &&
      (e.family === undefined || family === undefined || family === "any" || e.family === family),
  ).map((e) => e.name);
}

/** Every channel, with the family where the name settles it, that a name can head; a word of the user's own heads what it heads. */
export function sensesOf(name: string, own: ChannelName): readonly Entry[] {
  const found = LEXICON.filter((e) => e.name.toLowerCase() === name.toLowerCase());
  return found.some((e) => e.channel === own) ? found : [...found, { name, channel: own, language: "en" }];
}
