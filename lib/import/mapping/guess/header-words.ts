/** Words of a header by which a column of ours is known: `sure` ones alone, `likely` ones when nothing fits better. */
export type HeaderWords = { readonly sure: RegExp; readonly likely?: RegExp };

// Ordinary words of the trade in English, German, French, Spanish, Italian, Dutch, Swedish and Portuguese, without accents.
const begin =
  "begin|began|begann|start|started|onset|debut|inicio|inizio|aanvang|kommen|gekommen|activat|raised|apparition";
const end =
  "end|ended|ende|endzeit|fin|fine|final|eind|einde|slut|fim|cleared|clear|restor|reset|gehen|gegangen|geht|disparition|termin|closed";
const moment =
  "date ?time|timestamp|time ?stamp|zeitstempel|zeitpunkt|horodat|fecha (?:y )?hora|date (?:and|et|e|og|och|en) (?:time|heure|ora|tijd|tid)|data ?(?:e )?ora|data ?(?:e )?hora|datum ?(?:en |och |und )?(?:tijd|tid|zeit|uhrzeit)|tidpunkt|tijdstip|logged|recorded|event time|occurred";
const day = "date|datum|fecha|data|dato|dag|tag|day|jour|dia|giorno";
const clock = "time|zeit|uhrzeit|heure|hora|ora|tijd|tid|klockslag|clock";

/** Words by column of ours, over all kinds of file; a column that several kinds have is known by the same words. */
export const headerWords: Readonly<Record<string, HeaderWords>> = {
  detector_id: {
    sure: words(
      "detector(?: ?(?:id|no|nr|number|name|ref))?|detektor(?: ?(?:id|nr))?|melder(?:nr|nummer|id| nr| id)?|detecteur|rivelatore|rilevatore|detectores|meldpunt|linjedetektor|device(?: ?(?:id|name|no))?|senso\\w*|beam(?: ?(?:id|no|name))?|equipo|appareil|apparaat|enhet|dispositivo",
    ),
    likely: words(
      "id|tag|point|punkt|punto|ponto|address|adresse|adres|adress|indirizzo|direccion|endereco|item|unit|element",
    ),
  },
  site_id: {
    sure: words(
      "site ?(?:id|no|nr|code|ref)?|standort|liegenschaft|objekt(?:nr|nummer)?|sitio|sito|anlaggning|locatie|filial\\w*|building|gebaude|batiment|edificio|gebouw|byggnad",
    ),
    likely: words("store|branch|location|lieu|plats|local|plant|werk|usine"),
  },
  read_at: {
    sure: words(`read at|${moment}|messzeit\\w*|mesure le|gemessen|sampled`),
    likely: words(`${day}|${clock}`),
  },
  began_at: {
    sure: words(`${moment}|(?:${begin})\\w*(?: (?:at|time|date|zeit|am|${day}|${clock}))*|alarm time|ereigniszeit`),
    likely: words(`${day}|${clock}`),
  },
  ended_at: { sure: words(`(?:${end})\\w*(?: (?:at|time|date|zeit|am|${day}|${clock}))*|hasta`) },
  done_at: {
    sure: words(
      `done at|${moment}|completed|finished|erledigt|ausgefuhrt|realise|realizado|eseguito|uitgevoerd|utford|work date|service date`,
    ),
    likely: words(`${day}|${clock}`),
  },
  condition: {
    sure: words(
      "condition|event ?type|alarm ?type|ereignis(?:art|typ)?|meldeart|meldungsart|zustand|tipo(?: de)? evento|type evenement|type d evenement|etat|estado|stato|toestand|handelse\\w*|tillstand|gebeurtenis|evento|evenement|event|inciden\\w*",
    ),
    likely: words(
      "type|typ|art|tipo|state|status|class|category|kategorie|categorie|categoria|meldung|message|text|description|mensaje|messaggio|bericht|meddelande|mensagem|texto|alarm|signal ?type",
    ),
  },
  cause: {
    sure: words(
      "cause|fault ?(?:code|text|cause|reason|type)|ursache|storungs?(?:ursache|text|art)|grund|cause du defaut|motif|causa|motivo|oorzaak|orsak|reason|error ?(?:code|text)?|fehler(?:code|text)?",
    ),
    likely: words("detail|details|message|text|meldungstext|meldung|description|remark"),
  },
  verdict: {
    sure: words(
      "verdict|classification|assessment|outcome|bewertung|beurteilung|einstufung|constat|evaluation|valutazione|beoordeling|bedomning|avaliacao|evaluacion|false alarm|alarm ?class|falschalarm",
    ),
  },
  signal_pct: {
    sure: words(
      "signal(?: ?(?:pct|percent|level|strength|db|wert|starke|pegel|received|rx))*|empfangs(?:signal|pegel)|pegel|niveau(?: (?:de )?signal)?|nivel(?: de)? senal|senal|segnale|livello(?: segnale)?|signaal\\w*|signalniva|sinal|nivel|obscur\\w*|verdunk\\w*|trubung\\w*|attenuation|dampfung|attenuazione|atenuacion|atenuacao|demping|dampning|verduistering|transmission|rx ?level|received",
    ),
    likely: words("level|value|wert|valeur|valor|valore|waarde|varde|reading|messwert|mesure|db|counts?|raw|adc"),
  },
  compensation_pct: {
    sure: words(
      "compensation(?: ?(?:pct|percent|used))*|kompensation|drift|nachfuhrung|compensazione|compensacion|compensacao|compensatie|kompensering|contamination|verschmutzung|soiling|salissure",
    ),
  },
  temperature_c: {
    sure: words("temperature(?: ?[cf])?|temp(?: ?[cf])?|temperatur|temperatura|temperatuur|celsius|fahrenheit"),
  },
  task: {
    sure: words(
      "task|work ?(?:type|done)?|arbeit|tatigkeit|massnahme|tache|travail|intervention|tarea|trabajo|actividad|intervento|lavoro|attivita|taak|werkzaamheid\\w*|arbete|atgard|tarefa|trabalho|servico|action|activity|job",
    ),
    likely: words("type|typ|art|tipo|description|text"),
  },
  result: { sure: words("result|resultat|ergebnis|resultado|risultato|esito|resultaat|pass fail|passed|outcome") },
  signal_before_pct: {
    sure: words("(?:signal )?(?:before|as found|vorher|vor|avant|antes|prima|voor|fore)(?: \\w+)*|signal before pct"),
  },
  signal_after_pct: {
    sure: words(
      "(?:signal )?(?:after|as left|nachher|nach|apres|despues|dopo|na|efter|depois)(?: \\w+)*|signal after pct",
    ),
  },
  minutes: {
    sure: words(
      "minutes|minuten|minuti|minutos|minuter|duration|dauer|duree|duracion|durata|duur|varaktighet|duracao|hours|stunden|labou?r",
    ),
  },
  reactive: {
    sure: words("reactive|call ?out|unplanned|storungseinsatz|curatif|correctivo|correttivo|correctief|corretivo|akut"),
  },
  told: {
    sure: words("told|informed|notified|benachrichtigt|informiert|prevenu|informe|informado|avvisato|gemeld|meddelad"),
  },
  interim: { sure: words("interim(?: measure)?|ersatzmassnahme|mesure provisoire|fire watch") },
  note: {
    sure: words(
      "note|notes|comment|comments|remark|remarks|bemerkung|notiz|kommentar|commentaire|remarque|nota|notas|observaci\\w*|opmerking|anmarkning|observac\\w*|commento",
    ),
  },
  label: {
    sure: words(
      "label|name|bezeichnung|beschriftung|designation|nombre|nome|naam|namn|libelle|descripcion|descrizione|omschrijving|benamning|descricao|description|location|ort|lage",
    ),
  },
  form: { sure: words("form|bauart|bauform|detector type|type|typ|tipo|technology|principle") },
  path_length_m: {
    sure: words(
      "path ?length(?: ?(?:m|ft))?|length|separation|distance|span|strecke|lange|abstand|distanz|longueur|portee|longitud|distancia|lunghezza|distanza|lengte|afstand|langd|avstand|comprimento",
    ),
  },
  height_m: { sure: words("height(?: ?(?:m|ft))?|hohe|montagehohe|hauteur|altura|altezza|hoogte|hojd") },
  bearing_deg: {
    sure: words(
      "bearing(?: ?deg)?|azimuth|azimut|direction|richtung|peilung|orientation|rumbo|direzione|richting|riktning|direcao|compass",
    ),
  },
  installed_on: {
    sure: words(
      "install\\w*(?: (?:on|date))?|commission\\w*(?: (?:on|date))?|inbetriebnahme\\w*|einbau\\w*|mise en service|puesta en servicio|messa in servizio|instalacion|installazione|ingebruikname|driftsatt\\w*|instalacao|in service since",
    ),
  },
  alarm_threshold_pct: {
    sure: words(
      "alarm ?threshold(?: ?pct)?|threshold|sensitivity|alarmschwelle|schwelle|empfindlichkeit|seuil|sensibilite|umbral|soglia|drempel|gevoeligheid|larmgrans|troskel|limiar|sensibilidad|sensibilita",
    ),
  },
  access: { sure: words("access(?: ?kind)?|zugang|acces|acceso|accesso|toegang|atkomst|acesso|reached by|lift") },
  zone: { sure: words("zone|bereich|meldergruppe|gruppe|zona|sektion|groep") },
  environment: { sure: words("environment|umgebung|nutzung|environnement|entorno|ambiente|omgeving|miljo|use") },
  last_service_on: {
    sure: words(
      "last service(?: (?:on|date))?|letzte wartung|dernier entretien|ultimo mantenimiento|ultima manutenzione|laatste onderhoud|senaste service|ultima manutencao",
    ),
  },
  name: { sure: words("name|site ?name|bezeichnung|nom|nombre|nome|naam|namn|standort ?name") },
  latitude: { sure: words("latitude|lat|breite|breitengrad|latitud|latitudine|breedtegraad|breddgrad") },
  longitude: { sure: words("longitude|long|lon|lng|lange|langengrad|longitud|longitudine|lengtegraad|langdgrad") },
  time_zone: {
    sure: words(
      "time ?zone|timezone|tz|zeitzone|fuseau(?: horaire)?|zona horaria|fuso(?: orario| horario)?|tijdzone|tidszon",
    ),
  },
  portfolio: { sure: words("portfolio|portefeuille|cartera|portafoglio|customer|client|kunde") },
  currency: { sure: words("currency|wahrung|devise|moneda|valuta|moeda") },
  opens: { sure: words("opens|opening|offnet|ouverture|apertura|abertura|open from") },
  closes: { sure: words("closes|closing|schliesst|fermeture|cierre|chiusura|sluit|stanger") },
  detectors_on_system: {
    sure: words("detectors on system|detector count|number of detectors|anzahl melder|nombre de detecteurs"),
  },
};

/** Columns of which an id may be composed, from the widest to the narrowest. */
export const addressWords = {
  panel: words(
    "panel(?: ?(?:id|no|nr|name))?|control panel|zentrale|bmz|bmc|centrale|central|centrala|paneel|panneau|painel|node|station",
  ),
  loop: words(
    "loop(?: ?(?:no|nr))?|ring|ringleitung|schleife|linie|boucle|lazo|bucle|linea|lus|slinga|laco|circuit|line",
  ),
  address: words(
    "address|adresse|adres|adress|indirizzo|direccion|endereco|point(?: ?(?:no|nr))?|punkt|punto|ponto|element|device(?: ?(?:no|nr))?|detector(?: ?(?:no|nr))?|melder(?: ?(?:nr|nummer)|nr|nummer)?",
  ),
} as const;

/** Words of a column that holds a time of day without its day. */
export const clockWords = words(clock);
/** Words of a column that tells whether a condition comes or goes. */
export const phaseWords = words(
  "state|status|phase|action|on off|kommt geht|k g|set|zustand|etat|estado|stato|toestand|tillstand|transition|change",
);

/** A header in the form the words are looked for: small letters, no accents, signs and joined words parted by blanks. */
export function headerForm(header: string): string {
  return header
    .replace(/([a-z\d])([A-Z])/g, "$1 $2")
    .normalize("NFD")
    .replace(/[\u0300-\u036f]/g, "")
    .replace(/ß/g, "ss")
    .toLowerCase()
    .replace(/[^\p{L}\d]+/gu, " ")
    .trim();
}

/** How well a header fits: 10 when the words are all of it, 7 when they stand in it, 3 for a likely word, else 0. */
export function headerFit(header: string, { sure, likely }: HeaderWords): number {
  const form = headerForm(header);
  const hit = sure.exec(form);
  if (hit) return hit[0].length === form.length ? 10 : 7;
  return likely?.test(form) ? 3 : 0;
}

function words(alternatives: string): RegExp {
  return new RegExp(`(?<![\\p{L}\\d])(?:${alternatives})(?![\\p{L}\\d])`, "u");
}
