import { wordForm } from "@/lib/import/mapping/words";

type Stems = readonly (readonly [RegExp, string])[];

// Stems of ordinary trade words in English, German, French, Spanish, Italian, Dutch, Swedish and Portuguese, without
// accents. Of a list the first that fits counts, so narrower words stand before wider ones.
const stemsByColumn: Readonly<Record<string, Stems>> = {
  condition: [
    [/\b(?:test|pruf|revision|essai|prueba|prova|proef|provning|ensaio|walk ?test)/, "test"],
    [
      /(?:disabl|isolat|abgeschalt|abschalt|ausgeschaltet|hors service|inhib|desactiv|desabilit|disabilit|esclu|uitgeschak|buiten dienst|franslag|frankoppl|avstangd|desligad|inibi|anulad|bypass|eingeschaltet|\b(?:re ?)?enabled|ingeschakeld|inkopplad|en service|reactivad)/,
      "disablement",
    ],
    [
      /(?:\bfault|trouble|storung|defaut|derangement|averia|fallo\b|\bfalla|guasto|anomalia|storing|\bfel\b|felvarning|avaria|falha|error)/,
      "fault",
    ],
    [/(?:\bfire|feuer|brand|incendi|\bfeu\b|fuego|fuoco|brann|fogo|\balarm)/, "fire"],
  ],
  cause: [
    [
      /(?:compensat|kompensation|drift|nachfuhr|compensac|compensaz|contaminat|verschmutz|encrass|sucied|sporc|vervuil|nedsmuts|sujidade|dirty|soil)/,
      "compensation_limit",
    ],
    [
      /(?:block|obstruct|blockier|unterbroch|verdeckt|obstrue|coupe|bloque|obstruid|ostruit|bloccat|geblokkeerd|onderbroken|blockerad|bruten strale|interrupt|beam (?:lost|broken)|no signal)/,
      "path_blocked",
    ],
    [
      /(?:low signal|signal low|weak|signal (?:too )?low|schwach|signal zu klein|zu gering|signal faible|senal baja|segnale basso|laag signaal|signaal laag|lag signal|svag|sinal baixo|misalign|alignment)/,
      "low_signal",
    ],
    [
      /(?:power|supply|mains|battery|netz|spannung|batterie|akku|alimentation|secteur|alimentac|bateria|alimentaz|voeding|netspanning|accu|strom|matning|natbortfall|low volt)/,
      "power",
    ],
    [
      /(?:communicat|\bcomms?\b|kommunikation|verbindung|\bloop\b|\bline\b|leitung|wiring|no (?:reply|response)|not respond|liaison|comunicac|comunicaz|communicatie|verbinding|ledning|anslut|missing)/,
      "communication",
    ],
    [/(?:unknown|unbekannt|inconnu|desconocid|sconosciut|onbekend|okand|desconhecid|other|sonstig|general)/, "unknown"],
  ],
  verdict: [
    [/(?:malicious|boswillig|malveillan|malintenc|dolos|kwaadwillig|uppsatlig|malicios)/, "malicious"],
    [/(?:good intent|guten glauben|bonne foi|buena fe|buona fede|goede trouw|god tro|boa fe)/, "good_intent"],
    [/(?:equipment|defect|technisch|technical|technique|tecnic|materiel|teknisk|apparat)/, "equipment"],
    [
      /(?:nuisan|unwanted|false|falsch|tausch|fausse|intempesti|falsa|falso|ongewenst|loos|onodig|indesead|indeseja)/,
      "unwanted",
    ],
    [/(?:genuine|real|true|echt|reel|vrai|verdader|vero\b|reale|verklig|verdadeir)/, "genuine"],
    [/(?:unknown|unbekannt|inconnu|desconocid|sconosciut|onbekend|okand|desconhecid|not known|unclear)/, "unknown"],
  ],
  task: [
    [/(?:realign|align|ausricht|justier|realine|alinea|allinea|uitlijn|rikta|alinh)/, "realign"],
    [/(?:filter|filtre|filtro)/, "filter_test"],
    [/(?:block test|blocktest|blocked|obstruct|blockier|bloque|bloccag|blokke|blockering|obstruc)/, "block_test"],
    [/(?:clean|reinig|nettoy|limpi|puli|schoonma|rengor|limpez)/, "clean"],
    [/(?:replac|exchang|austausch|ersetz|remplac|reemplaz|sustitu|sostitu|vervang|bytt|byte|substitu|swap)/, "replace"],
    [/(?:repair|repar|instandsetz|ripar|reparat|herstel)/, "repair"],
    [/(?:survey|inspect|begeh|besichtig|inspection|inspecc|ispez|inspectie|besiktning|inspec|visite)/, "survey"],
  ],
  result: [
    [
      /(?:fail|nicht (?:ok|bestanden)|durchgefallen|echec|non conforme|no (?:conforme|apto|ok)|fallo|negativ|afgekeurd|underkand|reprovad|not ok|\bnok\b)/,
      "fail",
    ],
    [
      /(?:pass|\bok\b|bestanden|in ordnung|\bio\b|reussi|conforme|apto|positiv|goedgekeurd|godkand|aprovad|good)/,
      "pass",
    ],
  ],
  form: [
    [/(?:reflect|reflekt|reflex|reflet|reflej|riflet|riflett|refletiv)/, "reflective"],
    [
      /(?:end to end|end 2 end|transmitter|sender|empfanger|opposed|emetteur|emisor|emettitore|barrier|zender|sandare|emissor|projected)/,
      "end_to_end",
    ],
  ],
  access: [
    [/(?:scissor|schere|ciseau|tijera|forbice|schaar|sax|tesoura)/, "scissor_lift"],
    [/(?:boom|gelenk|teleskop|nacelle|articul|braccio|hoogwerker|bomlift|cherry)/, "boom_lift"],
    [/(?:ladder|leiter|echelle|escalera|scala|stege|escada|step)/, "ladder"],
    [/(?:tower|gerust|echafaud|andamio|trabattello|steiger|stallning|andaime|scaffold)/, "tower"],
  ],
  reactive: [
    [/^(?:no|n|nein|non|nee|nej|nao|false|0|planned|geplant|preventi\w*)$/, "false"],
    [/^(?:yes|y|ja|j|oui|o|si|s|sim|true|1|x|reactive|unplanned|call ?out)$/, "true"],
  ],
};

const negation = /\b(?:no|not|kein|keine|nicht|pas de|sin|senza|nessun|geen|ingen|inga|sem|false)\b/;
/** Alarms that are no fire. */
const otherAlarms =
  /(?:\bpre ?alarm|voralarm|intrusion|intruder|einbruch|tamper|sabotage|technical alarm|gas alarm|flood|burglar|panic)/;
const ends =
  /(?:clear|restor|reset|normal|\boff\b|ended|\bend\b|behoben|\bgeht\b|gehend|gegangen|\bende\b|zuruckgesetzt|ruckgesetzt|beendet|wieder|retabli|\bfin\b|disparu|restablec|restaur|ripristin|cessat|\bfine\b|hersteld|opgeheven|aterstalld|upphord|restabelec|closed|recover|\b(?:re ?)?enabled\b|\beingeschaltet\b|\bremis(?:e)? en service\b|\breactivad[oa]\b|\binkopplad\b|\bingeschakeld\b)/;

/** The columns whose words are known. */
export function hasTradeWords(column: string): boolean {
  return Object.hasOwn(stemsByColumn, column);
}

/** Our words of a column, narrower ones before wider ones. */
export function tradeWordsOf(column: string): string[] {
  return (stemsByColumn[column] ?? []).map(([, ours]) => ours);
}

/**
 * Our word for a foreign one, by the stems of ordinary trade words; null when none fits, or when the text denies it.
 *
 * Two conditions in one text (`fire fault`) are none, but for tests and disablements, which name what they are of.
 */
export function tradeWord(column: string, text: string): string | null {
  const form = stemForm(text);
  const own = wordForm(text).replace(/[ -]/g, "_");
  const stems = stemsByColumn[column] ?? [];
  const known = stems.find(([, ours]) => ours === own);
  if (known) return known[1];
  const hits = stems.filter(([stem]) => stem.test(form)).map(([, ours]) => ours);
  const [first] = hits;
  if (first === undefined) return null;
  if (column === "condition" && hits.includes("fault") && hits.includes("fire") && first === "fault") {
    return /\balarm/.test(form) && !/(?:\bfire|feuer|brand|incendi)/.test(form) ? "fault" : null;
  }
  if (column === "condition" && (negation.test(form) || otherAlarms.test(form))) return null;
  return first;
}

/** The piece of a text by which our word was found in it, as it stands there; null when there is none. */
export function tradeStem(column: string, text: string): { readonly theirs: string; readonly ours: string } | null {
  const ours = tradeWord(column, text);
  const stem = stemsByColumn[column]?.find((one) => one[1] === ours)?.[0];
  if (ours === null || !stem) return null;
  // Letter by letter, so that the piece can be cut from the text with its accents.
  const letters = [...wordForm(text)];
  const plain = letters.map((letter) => (letter.normalize("NFD")[0] ?? letter).replace(/[_/-]/, " ")).join("");
  const hit = stem.exec(plain);
  return hit && hit[0] !== "" ? { theirs: letters.slice(hit.index, hit.index + hit[0].length).join(""), ours } : null;
}

// Words that end a condition only where they stand alone: in a sentence they may say anything.
const endsAlone = /^(?:aus|uit|av|inactive|inaktiv|inactif|inactivo|gone|leave|leaving|clr|out)$/;

/** Whether a text says that a condition is over. */
export function saysEnd(text: string): boolean {
  const form = stemForm(text);
  return ends.test(form) || endsAlone.test(form);
}

function stemForm(text: string): string {
  return wordForm(text)
    .normalize("NFD")
    .replace(/[\u0300-\u036f]/g, "")
    .replace(/ß/g, "ss")
    .replace(/[_/-]/g, " ");
}
