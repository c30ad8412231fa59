"""Spellings of headings met in sheets, as data: canonical column to spellings.

Every spelling is written as :func:`captriage.readers.headings.plain` leaves it: small letters, no
accents, one space between words. English, German, French, Spanish, Italian, Dutch and the usual
abbreviations. A new spelling is one string here.
"""

from __future__ import annotations

from typing import Final

# Names of columns that are resolved with the help of their companions (see roles.py).
PART: Final = "part"
WEAK_PART: Final = "part or note"  # names the part where no column does so better
RATING: Final = "rating"  # capacitance and voltage together, as printed
VALUE: Final = "value"
QUANTITY: Final = "quantity"
UNIT: Final = "unit"
VOLTAGE: Final = "voltage"  # rated or measuring
WORKING: Final = "working"  # what the circuit puts on: said where nothing tells the rating
TIME: Final = "time"  # elapsed or a clock
CLOCK: Final = "clock"
DATE: Final = "date"
FAMILY: Final = "family"  # a grade, or else a note
LOOKS: Final = "looks"
NOTE: Final = "note"  # free text under its own heading
REMARK: Final = "remark"  # free text that needs no heading
STATUS: Final = "status"
RANGE: Final = "range_high"
UNCERTAINTY: Final = "uncertainty"
METER: Final = "meter"
Q: Final = "q"
POWER_FACTOR: Final = "power_factor"
CAPACITANCE_PERCENT: Final = "capacitance_percent"

_SPELLINGS: Final = {
    PART: """part, parts, part name, ref, refdes, ref des, refs, reference, reference designator,
        designator, designation, desig, pos, position, component, comp, capacitor, cap id, cap
        no, cap number, part id, part ref, identifier, bauteil, bauteile, bauteilnr, bauteil nr,
        bezeichnung, bez, bezeichner, referenz, teil, kondensator, elko, elkos, pos nr,
        positionsnummer, repere, composant, condensateur, piece, reperage, referencia,
        designador, posicion, componente, condensador, pieza, riferimento, rif, sigla,
        posizione, condensatore, pezzo, onderdeel, positie, referentie, condensator, aanduiding,
        elco, component nr""",
    WEAK_PART: """case, id, no, nr, num, number, numero, nummer, item, label, name, lfd nr, lfd,
        sample, specimen, dut, nom, nombre, nome, naam, etichetta, etiqueta, etiket, index, case
        id, probe, muestra, campione, echantillon, monster""",
    "can": """can, can no, can name, becher, becherelko, boitier, bote, barattolo, bus, beker,
        multi section can, mehrfachelko, mehrfachbecher""",
    "section": """section, sect, sec, section no, sektion, abschnitt, teilkapazitat, wicklung,
        seccion, sezione, sectie, deel""",
    RATING: """rating, ratings, marking, markings, marked, label text, printed, nominal, rated,
        rated value, nominal value, spec, nameplate, nom value, value rated, capacitor value,
        nennwert, nennwerte, nenndaten, aufdruck, beschriftung, sollwert, soll, valeur nominale,
        marquage, valeurs nominales, inscription, valor nominal, marcado, marcaje, valores
        nominales, valore nominale, marcatura, valori nominali, dicitura, nominale waarde,
        opschrift, opdruk, nominaal""",
    "capacitance_rated": """rated capacitance, capacitance rated, capacitance rating, c rated, c
        r, cr, c n, cn, c nom, cnom, nominal capacitance, capacitance nominal, cap rated, cap
        nominal, rated cap, nominal cap, c0, c 0, capacitance value, cap value, rated c, nominal
        c, nennkapazitat, nennkapazitaet, c nenn, cnenn, kapazitat nenn, sollkapazitat, c soll,
        capacite nominale, c nominale, c nominal, capacidad nominal, capacita nominale, nominale
        capaciteit, capaciteit nominaal""",
    "voltage_rated": """rated voltage, voltage rated, voltage rating, v rated, vrated, v r, vr, u
        r, ur, u n, un, v nom, v nominal, nominal voltage, wv, wvdc, vdcw, dcwv, dcw, v dc working,
        vdc working, volts dc working, dc working volts, dc working voltage, max voltage, rated
        volts, volts rated, volt rating, v max, vmax, u rated, rated v, rated u,
        nennspannung, u nenn, unenn, spannungsfestigkeit, max spannung, tension nominale,
        tension assignee, u nominale, tension max, tension nominal, voltaje nominal, tension
        maxima, voltaje maximo, tensione nominale, v nominale, tensione massima, nominale
        spanning, max spanning""",
    "voltage_working": """voltage working, voltage in circuit, circuit voltage, in circuit
        voltage, operating voltage, operating v, operating volts, v circuit, v in circuit, v
        operating, v working, dc in
        circuit, betriebsspannung, spannung in der schaltung, tension de fonctionnement, tension
        en circuit, tension en el circuito, tension de funcionamiento, tensione nel circuito,
        tensione di esercizio, bedrijfsspanning, spanning in de schakeling""",
    WORKING: """working voltage, working volts, work voltage, working v, work v, v work, volts
        working, work volts, voltaje de trabajo, arbeitsspannung, tension de service,
        tension de travail, tension de trabajo, tension de servicio, tensione di lavoro,
        werkspanning""",
    "tolerance": """tolerance, tol, capacitance tolerance, c tolerance, c tol,
        kapazitatstoleranz, kapazitaetstoleranz, c toleranz, tolerance de capacite, tolerancia de
        capacidad, tolleranza di capacita, tolleranza capacita, capaciteitstolerantie, toleranz,
        tolerancia, tolleranza, tolerantie, tolerances""",
    "made": """made, date code, datecode, code date, year, year made, year of making,
        manufactured, date of manufacture, mfg date, mfg year, built, vintage, date of making,
        made in, baujahr, herstelldatum, herstellungsjahr, hergestellt, datumscode, datumcode,
        jahr, annee, date de fabrication, annee de fabrication, fabrique, code de date, code
        date, ano, fecha de fabricacion, ano de fabricacion, codigo de fecha, fabricado, anno,
        data di fabbricazione, data di produzione, anno di produzione, codice data, bouwjaar,
        jaar, fabricagedatum, productiedatum, productiejaar""",
    "age_years": """age years, age, approx age, approximate age, age approx, estimated age, alter,
        edad, eta, leeftijd, ungefahres alter, anciennete, antiguedad""",
    "idle_years": """idle years, idle, idle time, idle since, idle for, unpowered, unpowered
        since, years unpowered, years idle, unused, years unused, unused since, unused for,
        without voltage, without voltage since, time without voltage, stored, storage, storage
        time, stored since, last powered, last used, last used in, last run, last on, dormant,
        standzeit, stromlos, stromlos seit, unbenutzt, unbenutzt seit, lagerzeit, lagerung, ohne
        spannung, ohne spannung seit, spannungslos, spannungslos seit, zuletzt benutzt, hors
        tension, hors tension depuis, inutilise depuis, stockage, sans tension, sans tension
        depuis, sin tension, sin tension desde, sin uso, sin uso desde, almacenado,
        almacenamiento, senza tensione, senza tensione da, inutilizzato da, fermo da,
        immagazzinato, spanningsloos, spanningsloos sinds, ongebruikt, ongebruikt sinds, opslag,
        jahre unbenutzt, jahre stromlos, jahre spannungslos, jahre ohne spannung, jahre
        gelagert, seit jahren unbenutzt, annees sans emploi, annees sans tension, annees hors
        tension, annees d inutilisation, annees de stockage, inutilise, anos sin uso, anos sin
        tension, anos almacenado, anni di inutilizzo, anni senza tensione, anni fermo,
        inutilizzato, jaren ongebruikt, jaren spanningsloos, jaren opslag, years without voltage,
        years stored, years in storage, years without power, years unpowered""",
    "grade": """grade, quality, quality grade, klasse, gradklasse, qualitat, grado, qualite,
        calidad, kwaliteit""",
    FAMILY: """family, series, type, typ, baureihe, typenreihe, serie, gamme de produit, tipo,
        familie, famille, familia, famiglia, reeks, soort""",
    "polarity": """polarity, polarised, polarized, polar, bipolar, polarisation type, polaritat,
        polung, gepolt, polarite, polarise, polaridad, polarizado, polarita, polarizzato,
        polariteit, gepolariseerd""",
    "role": """role, function, use, used as, used for, purpose, application, circuit, job, circuit
        position, funktion, aufgabe, verwendung, einsatz, schaltungsfunktion, fonction,
        utilisation, emploi, funcion, uso, aplicacion, funzione, ruolo, impiego, functie, rol,
        toepassing""",
    "service_hours": """service hours, hours, hours of use, hours in use, operating hours, hours
        run, hours of service, run hours, hours on, betriebsstunden, heures de service, heures
        de fonctionnement, heures, horas de servicio, horas de uso, horas, ore di servizio, ore
        di funzionamento, ore, bedrijfsuren, draaiuren""",
    "service_temperature_degc": """service temperature degc, service temperature, operating
        temperature, service temp, operating temp, temperature in service, temperature in use,
        betriebstemperatur, temperature de service, temperature de fonctionnement, temperatura
        de servicio, temperatura de funcionamiento, temperatura di esercizio, temperatura di
        servizio, bedrijfstemperatuur""",
    "in_circuit": """in circuit, incircuit, in situ, read in circuit, measured in circuit,
        eingebaut, in schaltung, in der schaltung, im gerat, en circuit, en place, mesure en
        place, en circuito, montado, in circuito, montato, in schakeling, ingebouwd""",
    "reform_outcome": """reform, reformed, reforming, reform outcome, reform result, reforming
        result, outcome of reforming, after reforming, formiert, formierung, nachformiert,
        nachformierung, formieren, reforme, reformage, reformado, reformacion, riformato,
        riformatura, rigenerato, rigenerazione, geformeerd, formeren, gereformeerd""",
    LOOKS: """looks, look, visual, visual inspection, visual check, visual condition, visually,
        appearance, condition, physical, physical condition, case condition, by eye, outside,
        aussehen, optik, sichtprufung, sichtbefund, zustand, befund, ausseres, aspect,
        apparence, etat, etat visuel, controle visuel, inspection visuelle, aspecto, apariencia,
        estado, inspeccion visual, estado visual, aspetto, ispezione visiva, stato, condizione,
        condizioni, esame visivo, uiterlijk, visueel, staat, toestand, visuele controle""",
    REMARK: """note, notes, remark, remarks, comment, comments, observation, observations, memo,
        text, notes of behaviour, free text, bemerkung, bemerkungen, anmerkung, anmerkungen,
        notiz, notizen, kommentar, kommentare, hinweis, remarque, remarques, commentaire,
        commentaires, observacion, observaciones, nota, notas, comentario, comentarios,
        osservazione, osservazioni, commento, commenti, annotazioni, opmerking, opmerkingen,
        notitie, notities, aantekening""",
    NOTE: """source, location, place, where, maker, manufacturer, make, mfr, mfgr, brand, model,
        part number, order code, supplier, chassis, board, machine, outcome said, confidence,
        size, diameter, height, length, operator, serial, serial no, serial number, box, drawer,
        shelf, qty, price, description, technology, measured by, by, unit under test, equipment,
        set, dimensions, weight, colour, color, hersteller, fabrikat, marke, ort, lieferant,
        gerat, beschreibung, einbauort, groesse, grosse mm, durchmesser, hohe, bediener, prufer,
        anzahl, preis, gehause, fabricant, marque, lieu, emplacement, fournisseur, taille,
        operateur, fabricante, marca, lugar, ubicacion, proveedor, tamano, descripcion,
        produttore, costruttore, luogo, posto, fornitore, dimensioni, descrizione, fabrikant,
        merk, plaats, leverancier, afmetingen, omschrijving""",
    "construction": """construction, mounting, package, body, body style, style, case style, built
        as, bauform, gehauseform, bauart, construction type, type of construction, montage,
        forme, construccion, encapsulado, costruzione, contenitore, bouwvorm, uitvoering""",
    "capacitance": """c, cap, capacitance, capacity, cs, c s, cp, c p, c series, c parallel, cap
        s, capa, c x, cx, c dc, measured, meas, c ist, cist, kapazitat, kapazitaet, kap,
        gemessen, istwert, ist, capacite, mesure, mesuree, capacidad, medido, medida, medicion,
        capacita, misurato, misurata, misura, capaciteit, gemeten""",
    CAPACITANCE_PERCENT: """capacitance percent, c percent, percent of nominal, percent of rated,
        of nominal, of rated, cap percent, percent nominal, of nominal c, prozent vom nennwert,
        vom nennwert, del nominal, du nominal, del nominale, van nominaal""",
    "capacitance_deviation": """delta c, deltac, c change, change of c, capacitance change, c dev,
        c deviation, deviation, dev, delta c c, dc c, cap change, abweichung,
        kapazitatsanderung, c abweichung, kapazitatsabweichung, ecart, variation de c,
        desviacion, scostamento, variazione, afwijking""",
    "esr": """esr, rs, r s, r series, series resistance, rser, rse, ers, r esr, resr, equivalent
        series resistance, ersatzserienwiderstand, ersatzreihenwiderstand, serienwiderstand,
        innenwiderstand, resistance serie, resistance serie equivalente, resistencia serie,
        resistencia serie equivalente, resistenza serie, resistenza serie equivalente,
        resistenza equivalente serie, serieweerstand, equivalente serieweerstand""",
    "tan_delta": """d, df, dissipation, dissipation factor, loss factor, loss, losses, loss
        tangent, tan d, tand, tan delta, tandelta, tan, tg d, tgd, tg delta, tgdelta, tangens
        delta, tangent delta, d factor, verlustfaktor, verluste, verlust, vf, facteur de perte,
        facteur de pertes, facteur de dissipation, tangente de perte, tangente de pertes,
        tangente delta, pertes, angle de pertes tan, factor de perdidas, factor de perdida,
        factor de disipacion, tangente de perdidas, perdidas, fattore di perdita, fattore di
        dissipazione, fattore di perdite, perdite, verliesfactor, verliesfaktor,
        dissipatiefactor, verlies, verliezen""",
    Q: """q, q factor, quality factor, gute, guete, gutefaktor, facteur de qualite, factor de
        calidad, fattore di qualita, fattore di merito, kwaliteitsfactor, q faktor""",
    POWER_FACTOR: """pf, power factor, powerfactor, leistungsfaktor, facteur de puissance, factor
        de potencia, fattore di potenza, arbeidsfactor, cos phi, cosphi""",
    "leakage_current": """leakage, leak, leakage current, leak current, i, il, i l, i leak, ileak,
        i leakage, lc, dcl, dc leakage, dc leakage current, current, i dc, idc, dc current,
        leaks, leckstrom, leck, reststrom, ableitstrom, strom, i rest, i leck, ileck,
        stromaufnahme, courant de fuite, fuite, fuites, courant, i fuite, ifuite, courant
        residuel, corriente de fuga, corriente de fugas, fuga, fugas, corriente, i fuga,
        corrente di fuga, corrente di perdita, corrente di dispersione, corrente, dispersione,
        lekstroom, lek, stroom, i lek, reststroom""",
    "resistance": """resistance, r, dc resistance, r dc, rdc, ohms, ohm reading, ohmmeter,
        insulation resistance, leakage resistance, widerstand, isolationswiderstand, resistance
        d isolement, resistencia, resistencia de aislamiento, resistenza, resistenza di
        isolamento, weerstand, isolatieweerstand""",
    "impedance": """impedance, z, impedanz, scheinwiderstand, impedancia, impedenza, impedantie,
        mod z""",
    QUANTITY: """quantity, parameter, param, measurement, measurand, test, property, what,
        measure, measured quantity, messgrosse, grosse, kenngrosse, messung, grandeur,
        parametre, grandeur mesuree, magnitud, parametro, grandezza, grootheid, meting,
        parameters""",
    VALUE: """value, val, wert, valeur, valor, valore, waarde, reading, result, measured value,
        readings, messwert, ergebnis, resultat, valeur mesuree, resultado, valor medido,
        lectura, risultato, valore misurato, lettura, resultaat, meetwaarde, gemeten waarde,
        lecture""",
    UNIT: """unit, units, einheit, einheiten, unite, unites, unidad, unidades, unita, unita di
        misura, eenheid, eenheden, dimension""",
    "frequency_hz": """frequency hz, frequency, freq, f, test frequency, test freq, measuring
        frequency, f test, frequenz, messfrequenz, pruffrequenz, frequence, frequence de mesure,
        frequence d essai, frecuencia, frecuencia de medida, frequenza, frequenza di misura,
        frequentie, meetfrequentie, at frequency""",
    VOLTAGE: """voltage, v, u, volts, volt, vdc, v dc, dc volts, spannung, tension, voltaje,
        tensione, spanning, voltage dc, udc, u dc""",
    "voltage_v": """voltage v, test voltage, test v, test volts, measuring voltage, v test, vtest,
        u test, applied voltage, voltage applied, bias, bias voltage, dc bias, v bias, at
        voltage, prufspannung, messspannung, vorspannung, angelegte spannung, tension d essai,
        tension de mesure, tension appliquee, tension de test, tension de prueba, tension de
        medida, tension aplicada, voltaje de prueba, tensione di prova, tensione di misura,
        tensione applicata, testspanning, meetspanning""",
    "temperature_degc": """temperature degc, temperature, temp, ambient, ambient temperature, room
        temperature, test temperature, t amb, tamb, temperatur, messtemperatur,
        umgebungstemperatur, raumtemperatur, temperature ambiante, temperature de mesure,
        temperatura, temperatura ambiente, temperatura de medida, temperatura di misura,
        temperatuur, omgevingstemperatuur, meettemperatuur""",
    "soak_s": """soak, soak time, soak s, elapsed, elapsed time, time elapsed, elapsed s,
        duration, hold time, time on, time applied, time at voltage, charging time, charge time,
        after, test time, time after, minutes, seconds, mins, secs, einschaltdauer, wartezeit,
        ladezeit, dauer, formierzeit, messdauer, einwirkzeit, abgelaufene zeit, nach, minuten,
        sekunden, duree, temps ecoule, temps de charge, apres, temps d application, secondes,
        duracion, tiempo transcurrido, tiempo de carga, minutos, segundos, tras, durata, tempo
        trascorso, tempo di carica, minuti, secondi, dopo, duur, verstreken tijd, laadtijd,
        seconden""",
    TIME: """time, t, zeit, temps, tiempo, tempo, tijd""",
    CLOCK: """time of day, clock, uhrzeit, heure, hora, ora, tijdstip""",
    "taken_at": """timestamp, time stamp, datetime, date time, date and time, taken at, measured
        at, zeitstempel, datum uhrzeit, datum zeit, zeitpunkt, horodatage, date heure, date et
        heure, fecha y hora, fecha hora, marca de tiempo, data e ora, data ora, datum tijd,
        datum en tijd, time utc, time local, utc""",
    DATE: """date, test date, date measured, measured on, date tested, date of test, datum,
        messdatum, prufdatum, gemessen am, date de mesure, date d essai, fecha, fecha de medida,
        fecha de prueba, data, data di misura, data di prova, meetdatum""",
    METER: """meter, instrument, method, tester, bridge, gauge, device, measured with, test
        method, meter used, messgerat, messmethode, methode, verfahren, messbrucke, appareil,
        instrument de mesure, methode de mesure, pont, aparato, instrumento, medidor, metodo,
        puente, strumento, misuratore, ponte, meetinstrument, apparaat, meetmethode, meetbrug""",
    UNCERTAINTY: """uncertainty, unc, expanded uncertainty, u k 2, uncertainty k 2, u95,
        messunsicherheit, unsicherheit, incertitude, incertitude elargie, incertidumbre,
        incertezza, meetonzekerheid, onzekerheid""",
    RANGE: """range, meter range, range end, end of range, full scale, messbereich, bereich,
        gamme, calibre, gamme de mesure, rango, escala, alcance, portata, campo, fondo scala,
        meetbereik, bereik, range high""",
    STATUS: """status, statut, overload, ovl, flags, reading status, meter status, error, errors,
        fehler, over range, overrange""",
}

SPELLINGS: Final = {
    " ".join(spelling.split()): column
    for column, text in _SPELLINGS.items()
    for spelling in text.split(",")
}

TOGETHER: Final = {spelling.replace(" ", ""): column for spelling, column in SPELLINGS.items()}
"""The same spellings with their words run together."""

_MEASURED_WORDS: Final = """measured meas actual read gemessen gemessene gemessener gemessenes ist
    mesure mesuree medido medida misurato misurata gemeten observed"""
MEASURED_WORDS: Final = frozenset(_MEASURED_WORDS.split())
_RATED_WORDS: Final = """rated nominal nom marked printed stated nenn rating nominale nominell
    nominales nominelle nominaal"""
RATED_WORDS: Final = frozenset(_RATED_WORDS.split())


def _longest_first(phrases: str) -> tuple[str, ...]:
    return tuple(
        sorted((" ".join(word.split()) for word in phrases.split(",")), key=len, reverse=True)
    )


_BEFORE_WORDS: Final = """before, before reform, before reforming, before the reform, before
    reformation, pre reform, pre reforming, prior to reforming, vorher, vor formieren, vor dem
    formieren, vor formierung, vor der formierung, vor nachformieren, vor dem nachformieren, vor
    nachformierung, vor der nachformierung, avant, avant reformage, avant le reformage, antes, antes
    de reformar, antes del reformado, prima, prima di riformare, prima della riformatura, prima
    della rigenerazione, vooraf, voor formeren, voor het formeren"""
BEFORE_WORDS: Final = _longest_first(_BEFORE_WORDS)
"""What is read again after a reform, said to be of before it."""
_AFTER_WORDS: Final = """after, after reform, after reforming, after the reform, post reform,
    nachher, nach formieren, nach dem formieren, nach formierung, nach der formierung, nach
    nachformieren, nach dem nachformieren, nach der nachformierung, apres, apres reformage,
    apres le reformage,
    despues, despues de reformar, despues del reformado, dopo, dopo la riformatura, dopo la
    rigenerazione, achteraf, na formeren, na het formeren"""
AFTER_WORDS: Final = _longest_first(_AFTER_WORDS)
"""The same said to be of after it: what it reads today."""

_FOOTER_WORDS: Final = """max, maximum, min, minimum, mean, average, avg, median, total, totals,
    sum, subtotal, grand total, std, stdev, std dev, standard deviation, sd, count, samples,
    number of samples, range of values, max min, end, end of file, eof, end of data, mittel,
    mittelwert, durchschnitt, summe, gesamt, anzahl, standardabweichung, ende, moyenne, somme,
    ecart type, mediane, nombre de mesures, fin, promedio, media, mediana, suma, desviacion,
    desviacion tipica, cuenta, somma, totale, conteggio, fine, deviazione standard, gemiddelde,
    gemiddeld, som, totaal, aantal, einde, standaarddeviatie"""
FOOTER_WORDS: Final = frozenset(" ".join(word.split()) for word in _FOOTER_WORDS.split(","))
_FOOTER_COUNTED: Final = """samples sample readings reading parts part rows row records record
    items capacitors points messwerte werte teile zeilen proben mesures echantillons lignes
    muestras medidas filas campioni misure righe metingen monsters rijen"""
FOOTER_COUNTED: Final = frozenset(_FOOTER_COUNTED.split())
