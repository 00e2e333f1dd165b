import type { PracticeWords } from '../en/practice'

const runden = (count: number) => (count === 1 ? '1 Runde' : `${count} Runden`)
const weine = (count: number) => (count === 1 ? '1 Wein' : `${count} Weine`)
const weinen = (count: number) => (count === 1 ? '1 Wein' : `${count} Weinen`)

export const practice: PracticeWords = {
  title: 'Zu Hause üben',
  sub: 'Üben',
  invented: 'Erfundene Zahlen, zum Ausprobieren.',

  start: {
    about:
      'Bewerten Sie ein paar Weine auf denselben Linealen wie bei einer Verkostung und sehen Sie, wie Ihre Punkte neben denen einer Gruppe liegen: Bin ich streng, nutze ich das ganze Lineal, wiederhole ich mich, finde ich, was andere finden?',
    stays: 'Alles bleibt auf diesem Gerät. Nichts wird gesendet, ein Konto braucht es nicht und nach dem ersten Besuch auch kein Netz.',
    file: 'Ein Übungssatz der Leitung oder eine gesicherte Übung',
    fileAbout: 'Mit einem Übungssatz stehen Ihre Punkte neben dem, was eine frühere Gruppe fand. Eine anderswo gesicherte Übung geht hier weiter.',
    fileGo: 'Datei öffnen',
    own: 'Eigene Flaschen',
    ownAbout: 'Ohne Gruppe zum Vergleichen; es zeigt, wie stetig Sie bewerten, sobald ein Wein noch einmal eingeschenkt wird.',
    ownGo: 'Mit eigenen Flaschen beginnen',
    guide: 'Wie man schaut, riecht und schmeckt',
    join: 'Zu einer Verkostung',
  },

  cautions: {
    title: 'Bevor Sie einschenken',
    own: [
      'Kleine Schlucke genügen. Spucken Sie aus, so oft Sie mögen; niemand muss ein Glas leeren.',
      'Essen Sie vorher etwas. Stellen Sie Wasser bereit und trinken Sie es.',
      'Fahren Sie danach weder Auto noch Rad und bedienen Sie keine Maschinen. Klären Sie vorher, wie Sie nach Hause kommen.',
      'Wein ist für Menschen, die das gesetzliche Alter haben.',
      'Verkosten Sie nicht in der Schwangerschaft, wenn Alkohol Ihnen Mühe gemacht hat oder wenn Ihre Medikamente ihn verbieten.',
      'Wein enthält Sulfite und vielleicht Spuren von Ei, Milch oder Fisch. Fragen Sie bei einer Allergie zuerst.',
      'Hören Sie auf, wenn es genug ist. Das Gesetz vor Ort geht dieser Seite vor.',
    ],
    short: 'Kleine Schlucke, ausspucken, Wasser und etwas zu essen; niemand fährt. Das Gesetz vor Ort geht vor.',
    go: 'Weiter',
  },

  home: {
    own: 'Eigene Flaschen',
    compared: (tasters) => `Verglichen mit einer Gruppe von ${tasters} Verkostenden.`,
    alone: 'In dieser Übung gibt es keine Gruppe zum Vergleichen.',
    nothing: 'Noch ist nichts bewertet.',
    mark: 'Einen Wein bewerten',
    goOn: 'Weiter bewerten',
    stands: 'Wo Sie stehen',
    more: 'Verlauf über die Sitzungen',
    next: 'Als Nächstes üben',
    wines: 'Weine dieses Satzes',
    sessions: 'Was Sie bewertet haben',
    all: (count) => `Alle ${count} Sitzungen zeigen`,
    times: (count) => (count === 0 ? 'noch nicht' : count === 1 ? 'einmal' : `${count}-mal`),
    drills: 'Lassen sich die zwei unterscheiden?',
    drillsAbout: 'Eine Übung zu zweit: Eine Person schenkt ein, eine verkostet.',
    drillsGo: 'Eine Übung auslosen',
    drillsOn: 'Mit der Übung weitermachen',
    keep: 'Ihre Übungsdatei',
    keepAbout:
      'Sichern Sie sie ab und zu: Ein Browser kann löschen, was er aufbewahrt. Die Datei lässt sich in dieser App auf einem anderen Gerät öffnen und am Rechner mit „halfpoint practice“.',
    save: 'In einer Datei sichern',
    open: 'Datei öffnen',
    another: 'Eine andere Übung beginnen',
    practices: 'Übungen auf diesem Gerät',
    begun: (name, day) => `${name}, begonnen am ${day}`,
    unread: (lines) =>
      `Zeile ${lines} dieser Übung ließ sich nicht lesen. Sie blieb, wie sie ist, und alles andere zählt.`,
    device: 'Dieses Gerät',
  },

  came: {
    begun: 'Geöffnet. Diese Übung ist nun auf diesem Gerät.',
    joined: 'Geöffnet. Sie geht in dieser Übung weiter.',
    beside: 'Als Übung neben der anderen geöffnet.',
    'another-sheet': 'Dieser Satz hat einen anderen Bewertungsbogen und ist deshalb eine eigene Übung.',
    known: 'Das war schon hier; neu ist nichts.',
    empty: 'In dieser Datei steht nichts.',
    result: 'Das ist das ganze Ergebnis einer Verkostung. Bitten Sie die Leitung um den Übungssatz daraus.',
    phone: 'Das sind Punkte einer Verkostung, für den Gastgeber. Eine Übung sind sie nicht.',
    later: 'Dieser Satz stammt von einer späteren Fassung. Laden Sie diese Seite neu und öffnen Sie ihn dann noch einmal.',
    'broken-set': 'Dieser Satz ist nicht vollständig: Die Zahlen der Gruppe passen nicht zu seinen Weinen und seinem Bogen. Bitten Sie noch einmal darum.',
    other: 'Das ist weder eine Übungsdatei noch ein Übungssatz. Geändert wurde nichts.',
  },

  mark: {
    title: 'Einen Wein bewerten',
    correct: (wine) => `Punkte für ${wine} berichtigen`,
    total: 'Summe bisher',
    which: 'Welcher Wein war es?',
    whichAbout: 'Am besten erst am Ende sagen, wenn jemand anders eingeschenkt hat.',
    choose: 'wählen',
    another: 'ein anderer Wein',
    name: 'Sein Name',
    later: 'Die Punkte der Gruppe noch nicht zeigen',
    laterAbout: 'Für einen Wein, der noch einmal kommt, ohne dass Sie es wissen.',
    toGo: (count) => (count === 1 ? '1 Wertung fehlt' : `${count} Wertungen fehlen`),
    sayWhich: 'welcher Wein war es?',
    kept: 'auf diesem Gerät',
    go: 'Vergleichen',
    goLater: 'Behalten',
    goOwn: 'Behalten',
    back: 'Zurück zur Übung',
  },

  feedback: {
    alone: (own) =>
      `In dieser Übung gibt es keine Gruppe zum Vergleichen; ob ${own} viel oder wenig ist, bleibt deshalb offen.`,
    notThere: (title, own) =>
      `${title} hatte diesen Wein nicht; ob ${own} viel oder wenig ist, bleibt deshalb offen.`,
    again: 'Gespeichert. Lassen Sie ihn ein andermal einschenken, ohne zu wissen, welcher es ist: Das zeigt, wie stetig Sie bewerten.',
    noTotal: 'Die Gruppe hat für diesen Wein keine Summe.',
    within: (own, panel, low, high) =>
      `Sie gaben ${own}, die Gruppe ${panel} (${low} bis ${high} für eine Flasche wie Ihre). Das ist dort, wo die Gruppe liegt.`,
    above: (own, panel, low, high, gap) =>
      `Sie gaben ${own}, die Gruppe ${panel} (${low} bis ${high} für eine Flasche wie Ihre). Sie liegen ${gap} Punkte darüber.`,
    below: (own, panel, low, high, gap) =>
      `Sie gaben ${own}, die Gruppe ${panel} (${low} bis ${high} für eine Flasche wie Ihre). Sie liegen ${gap} Punkte darunter.`,
    several: 'Keine Kategorie macht den Unterschied allein; es ist von mehreren ein wenig.',
    mostAbove: (category, own, panel) =>
      `Das meiste davon ist „${category}“: Sie gaben ${own}, die Gruppe ${panel}. Es lohnt sich, noch einmal ans Glas zu gehen und zu sehen, was Sie darüber liegen lässt.`,
    mostBelow: (category, own, panel) =>
      `Das meiste davon ist „${category}“: Sie gaben ${own}, die Gruppe ${panel}. Es lohnt sich, noch einmal ans Glas zu gehen und zu sehen, was Sie darunter liegen lässt.`,
    shared: (terms) => `Sie und die Gruppe fanden: ${terms}.`,
    missed: (terms) => `Andere fanden: ${terms}. Riechen Sie noch einmal mit diesem Gedanken.`,
    yours: (terms) => `Nur von Ihnen, und gut möglich: ${terms}.`,
    faults: (faults) =>
      `Sie haben angekreuzt: ${faults}. Diese Flasche ist vielleicht nicht wie die der Gruppe; die Punkte bleiben und zählen nicht mit.`,
    beside: 'Ihre Punkte neben denen der Gruppe',
    how: 'Ihre Wertung ist der runde Knopf. Der kurze Balken ist die der Gruppe, und auf der Linie kann sie für eine Flasche wie Ihre liegen.',
    both: (own, panel) => `Sie ${own}, die Gruppe ${panel}`,
    ownOnly: (own) => `Sie ${own}`,
    total: 'Summe',
    next: 'Nächster Wein',
    correct: 'Diese Punkte berichtigen',
    corrected: 'Diese Punkte wurden später berichtigt und zählen nicht mehr.',
    back: 'Zurück zur Übung',
    toGo: (count) =>
      count === 1
        ? 'Nach einem weiteren Wein lässt sich etwas dazu sagen, wie Sie bewerten.'
        : `Nach ${count} weiteren Weinen lässt sich etwas dazu sagen, wie Sie bewerten.`,
  },

  said: {
    few: 'So wenige Weine sagen noch nichts darüber, wie Sie bewerten; sechs in einer Runde sind ein guter Anfang.',
    level: (span) => `Bisher bewerten Sie etwa wie die Gruppe (${span}).`,
    above: (points, span) => `Bisher liegen Sie ${points} Punkte über der Gruppe (${span}).`,
    below: (points, span) => `Bisher liegen Sie ${points} Punkte unter der Gruppe (${span}).`,
    bothAbove: (low, high) => `${low} bis ${high} darüber`,
    bothBelow: (low, high) => `${low} bis ${high} darunter`,
    across: (below, above) => `${below} darunter bis ${above} darüber`,
    same: 'Jede Summe der letzten Sitzung ist gleich; sie sagt deshalb nichts darüber, wie Sie Weine unterscheiden. Fragen Sie beim nächsten Mal bei jedem Wein: mehr oder weniger als beim vorigen?',
    spread: (value, low, high) =>
      `Zwischen zwei Weinen machen Sie das ${value}-Fache des Unterschieds der Gruppe (${low} bis ${high}).`,
    noise: (value, low, high) =>
      `Eine Wertung von Ihnen schwankt um etwa ${value} Punkte (${low} bis ${high}).`,
    agreement: (value, low, high) =>
      `Ihre Reihenfolge der Weine geht mit der der Gruppe zu ${value} von 1 (${low} bis ${high}).`,
    neverAgain: 'Noch wurde kein Wein ein zweites Mal eingeschenkt; wie gut Sie eine Wertung wiederholen, ist deshalb offen.',
    again: (times, value) =>
      `${times === 1 ? 'Einmal' : `${times}-mal`} noch einmal eingeschenkt: Eine wiederholte Summe schwankt um etwa ${value} Punkte.`,
    againFew: 'Das ist noch wenig.',
  },

  advice: {
    unsure: {
      severity: (category, count) =>
        `Nach ${weinen(count)} ist bei „${category}“ am wenigsten gewiss, ob Sie über oder unter der Gruppe liegen. Mehr Wertungen zeigen es.`,
      spread: (category, count) =>
        `Nach ${weinen(count)} ist bei „${category}“ am wenigsten gewiss, ob Sie Weine so weit auseinanderlegen wie die Gruppe. Mehr Wertungen zeigen es.`,
      steadiness: (category, count) =>
        `Nach ${weinen(count)} ist bei „${category}“ am wenigsten gewiss, wie stetig Sie bewerten. Mehr Wertungen zeigen es.`,
    },
    above: (category, points, low, high) =>
      `Bei „${category}“ liegen Sie etwa ${points} Punkte über der Gruppe (${low} bis ${high}).`,
    below: (category, points, low, high) =>
      `Bei „${category}“ liegen Sie etwa ${points} Punkte unter der Gruppe (${low} bis ${high}).`,
    closer: (category, times, low, high) =>
      `Bei „${category}“ legen Sie Weine näher zusammen als die Gruppe: ${times}-mal so weit (${low} bis ${high}).`,
    apart: (category, times, low, high) =>
      `Bei „${category}“ legen Sie Weine weiter auseinander als die Gruppe: ${times}-mal so weit (${low} bis ${high}).`,
    unsteady: (category, points, low, high) =>
      `Bei „${category}“ weichen Ihre Punkte von Wein zu Wein um etwa ${points} von denen der Gruppe ab (${low} bis ${high}), mehr als üblich.`,
    exercise: {
      severity: (category, pair) =>
        `Schenken Sie ${pair} ein und bewerten Sie nur „${category}“, mit der Hilfe dazu daneben; sehen Sie dann die Punkte der Gruppe an und kosten Sie noch einmal.`,
      spread: (category, pair) =>
        `Schenken Sie ${pair} nebeneinander ein: Die Gruppe legte sie bei „${category}“ am weitesten auseinander. Finden Sie, was den Unterschied macht, und geben Sie ihm auf dem Lineal seinen Platz.`,
      steadiness: (category, pair) =>
        `Lassen Sie ${pair} je zweimal unter anderen Weinen einschenken, ohne zu wissen, wo. Bewerten Sie „${category}“ jedes Mal nach derselben Frage und vergleichen Sie die beiden Wertungen.`,
    },
  },

  progress: {
    title: 'Verlauf über die Sitzungen',
    about:
      'Jede Zeile ist, was alle Wertungen bis zu dieser Sitzung sagen, zur Gruppe hingezogen, soweit es wenige Wertungen verdienen. Die dünne Linie enthält die Wahrheit in 95 von 100 Fällen.',
    of: 'Wovon',
    total: 'Summe',
    figure: 'Was',
    figures: {
      severity: 'über oder unter der Gruppe',
      spread: 'wie weit Weine auseinanderliegen',
      noise: 'wie sehr eine Wertung schwankt',
      agreement: 'Übereinstimmung mit der Gruppe',
    },
    axis: {
      severity: 'Punkte unter und über der Gruppe',
      spread: 'Vielfaches des Unterschieds der Gruppe',
      noise: 'Punkte',
      agreement: '1 ist dieselbe Reihenfolge',
    },
    wines: (count) => weine(count),
    none: 'nichts zu vergleichen',
    few: 'zu wenige Weine, oder alle Wertungen gleich',
    above: (value) => `${value} darüber`,
    below: (value) => `${value} darunter`,
    level: 'gleichauf',
    span: (value, low, high) => `${value} (${low} bis ${high})`,
    back: 'Zurück zur Übung',
    nothing: 'Sobald Weine mit Punkten einer Gruppe bewertet sind, steht Ihr Verlauf hier.',
  },

  drill: {
    title: 'Lassen sich die zwei unterscheiden?',
    kinds: { triangle: 'Dreieck', 'duo-trio': 'Duo-Trio' },
    abouts: {
      triangle: 'Drei Gläser, zwei davon derselbe Wein. Welches ist das andere?',
      'duo-trio': 'Ein Glas ist das Vorbild. Welches der beiden anderen ist derselbe Wein?',
    },
    kind: 'Art der Übung',
    rounds: 'Runden',
    roundsAbout: 'Eine bis sechzig, und so wenige, dass man frisch bleibt: sechs an einem Stück. Runden mehrerer Tage zählen zusammen.',
    pair: 'Welche zwei Weine?',
    pairAbout: 'Beide zusammen genannt, etwa „Riesling und Chenin“. Dann zählen Runden mehrerer Tage mit ihnen zusammen.',
    needs: (right, count, power) =>
      `Ab ${right} richtigen von ${count} lassen sich die zwei unterscheiden. Wer sie in der Hälfte der Fälle wirklich unterscheidet, kommt in ${power} von 100 Fällen so weit.`,
    tooFew: 'Bei so wenigen Runden könnten auch lauter richtige Zufall sein; vier oder fünf sind besser.',
    draw: 'Auslosen',
    hand: 'Geben Sie dieses Gerät der Person, die einschenkt',
    handAbout: 'Die nächste Seite sagt, was in welchem Glas ist. Wer verkostet, schaut weg, bis die Gläser stehen.',
    iPour: 'Ich schenke ein: zeigen',
    pourer: 'Für die Person, die einschenkt',
    decide: (a, b) =>
      `Legen Sie fest, welcher Wein A und welcher B ist: insgesamt ${a} Gläser A und ${b} Gläser B, alle gleich voll.`,
    sight: 'Schenken Sie außer Sicht ein, schreiben Sie den Code auf jedes Glas und reichen Sie von links nach rechts, Runde für Runde. Dazwischen eine Minute Pause, mit Wasser und Brot.',
    round: (number) => `Runde ${number}`,
    first: 'Vorbild',
    print: 'Diese Seite drucken',
    hide: 'Alles notiert: verbergen',
    taster: 'Für die Person, die verkostet',
    choose: (number, count) => `Runde ${number} von ${count}`,
    even: 'Antworten Sie in jeder Runde, auch geraten.',
    lookAgain: 'Für die Person, die einschenkt: noch einmal zeigen',
    done: 'Sagen, wie es ausging',
    toGo: (count) => `${runden(count)} offen`,
    leave: 'Diese Übung aufgeben',
    leaveSure: 'Ihre Antworten werden nicht aufgehoben.',
    leaveYes: 'Aufgeben',
    leaveNo: 'Weitermachen',
    found: 'Was die Antworten sagen',
    few: (right, count) =>
      `${right} von ${count} richtig. Bei so wenigen Runden könnten auch lauter richtige Zufall sein; ein paar mehr zeigen es.`,
    apart: (right, count, enough, low, high) =>
      `${right} von ${count} richtig, und ${enough} genügen: Die zwei lassen sich unterscheiden (wirklich unterschieden in ${low} bis ${high} von 100 Fällen, der Rest war Glück).`,
    notYet: (right, count, enough, low, high) =>
      `${right} von ${count} richtig; ab ${enough} ließe sich sagen, dass sich die zwei unterscheiden lassen. Gleich sind sie deshalb nicht: Mit ${low} bis ${high} wirklich unterschiedenen von 100 passt alles zusammen.`,
    luck: (chance) => `Durch Raten allein kommen so viele richtige in ${chance} von 100 Fällen.`,
    needed: (count, right) =>
      `Um in 8 von 10 Fällen zu finden, was zur Hälfte unterschieden wird, braucht es ${count} Runden, ${right} davon richtig; Runden mehrerer Tage zählen zusammen.`,
    sofar: (pair, kind) => `${pair}, alle Runden bisher (${kind}):`,
    again: 'Noch eine auslosen',
    back: 'Zurück zur Übung',
  },

  trouble: {
    store: 'Dieser Browser lässt die Seite auf diesem Gerät nichts aufbewahren.',
    storeWhy: 'Punkte gingen verloren. Verlassen Sie den privaten Modus oder schaffen Sie Platz und laden Sie die Seite dann neu.',
    reload: 'Neu laden',
    insecure: 'Diese Seite kam unverschlüsselt; der Browser öffnet sie deshalb nicht ohne den Server. Was Sie bewerten, bleibt trotzdem gespeichert.',
  },
}
