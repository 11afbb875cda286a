//! Trade words in five languages and the notions they stand for.
//!
//! English signal names are those of SAE J1979; the other words are common practice, no source. Small letters, no accents.

/// A set of notions, one bit each.
pub type Notions = u64;

macro_rules! notions {
    ($($name:ident),* $(,)?) => { notions!(@ 0, $($name),*); };
    (@ $n:expr, $name:ident $(, $rest:ident)*) => {
        #[doc = concat!("The notion ", stringify!($name), ".")]
        pub const $name: Notions = 1 << ($n);
        notions!(@ ($n) + 1, $($rest),*);
    };
    (@ $n:expr,) => {};
}

#[rustfmt::skip]
notions!(
    COOLANT, TEMPERATURE, ENGINE, WATER, OIL, INTAKE, MANIFOLD, AIR, AMBIENT, FUEL, CATALYST, GEARBOX, BATTERY, HEAD, EXHAUST,
    RADIATOR, HEATER, OUTLET, INLET, PRESSURE, SPEED, ROTATION, VEHICLE, LOAD, ABSOLUTE, FLOW, RATE, BAROMETRIC, VOLTAGE, MODULE, RUN,
    TIME, START, LEVEL, RESERVOIR, SYSTEM, CABIN, VENT, FAN, TARGET, STATISTIC, SATELLITE, OTHER, TURBO, STAMP, DATE, CALCULATED,
    SENSOR, SIGNAL, VALUE, UNIT,
);

/// Words, parted by spaces, and what each of them means.
#[rustfmt::skip]
pub const WORDS: &[(Notions, &str)] = &[
    (COOLANT, "\
      coolant cooling antifreeze kuhlmittel kuehlmittel kuhlwasser kuehlwasser kuhlflussigkeit refroidissement refrigerante
      arrefecimento anticongelante"),
    (COOLANT | TEMPERATURE | ENGINE, "ect"),
    (COOLANT | TEMPERATURE, "clt cts"),
    (WATER, "water wasser eau agua"),
    (TEMPERATURE, "temperature temp tmp temperatur temperatura"),
    (TIME, "temps time zeit heure tiempo hora tempo"),
    (ENGINE, "engine eng motor moteur"),
    (OIL, "oil ol oel huile aceite oleo"),
    (OIL | TEMPERATURE, "eot"),
    (INTAKE, "intake induction suction ansaug admission admision admissao"),
    (INLET, "inlet eintritt"),
    (INTAKE | AIR, "ansaugluft"),
    (INTAKE | MANIFOLD, "saugrohr"),
    (MANIFOLD, "manifold"),
    (INTAKE | AIR | TEMPERATURE, "iat"),
    (INTAKE | MANIFOLD | PRESSURE, "map"),
    (AIR, "air luft aire ar"),
    (AMBIENT, "ambient outside outdoor aussen umgebungs umgebung exterieur exterieure exterior ambiente ambiant ambiante"),
    (AMBIENT | AIR | TEMPERATURE, "aat oat"),
    (FUEL, "fuel kraftstoff carburant combustible combustivel diesel"),
    (CATALYST, "catalyst cat catalytic katalysator catalyseur catalizador"),
    (GEARBOX, "transmission trans gearbox gear getriebe atf clutch"),
    (GEARBOX | TEMPERATURE, "tft"),
    (BATTERY, "battery batterie bateria hv cell"),
    (HEAD, "head cylinder zylinderkopf culasse culata"),
    (HEAD | TEMPERATURE, "cht"),
    (EXHAUST, "exhaust egr abgas echappement escape particulate dpf"),
    (EXHAUST | TEMPERATURE, "egt"),
    (RADIATOR, "radiator kuhler kuehler radiateur radiador"),
    (HEATER, "heater heating heizung heizungs chauffage calefaccion aquecimento"),
    (OUTLET, "outlet out exit austritt ausgang sortie salida saida lower bottom"),
    (PRESSURE, "pressure press druck pression presion pressao"),
    (PRESSURE | TURBO, "boost"),
    (SPEED, "speed velocity geschwindigkeit vitesse velocidad velocidade kph mph kmh tacho"),
    (VEHICLE | SPEED, "vss fahrgeschwindigkeit"),
    (ROTATION, "rpm revs rev revolutions drehzahl regime regimen rotacao umdrehungen"),
    (VEHICLE, "vehicle veh car road fahrzeug vehicule vehiculo veiculo ground"),
    (LOAD, "load last charge carga"),
    (ABSOLUTE, "absolute abs"),
    (FLOW, "flow mass durchfluss masse debit caudal flujo"),
    (AIR | FLOW, "maf luftmasse luftmassen"),
    (RATE, "rate consumption verbrauch consommation consumo"),
    (BAROMETRIC, "barometric baro barometer barometrique barometrica atmospheric atmosphere"),
    (BAROMETRIC | PRESSURE, "luftdruck"),
    (VOLTAGE, "voltage volts volt spannung tension voltaje tensao"),
    (VOLTAGE | MODULE, "bordspannung"),
    (MODULE, "module control ecu ecm pcm"),
    (RUN, "run running"),
    (RUN | TIME, "runtime laufzeit"),
    (STAMP, "uhrzeit elapsed timestamp timestamps zeitstempel horodatage clock epoch unix seconds milliseconds millis sekunden"),
    (STAMP | DATE, "datetime"),
    (DATE, "date datum fecha dia"),
    (START, "start since started seit"),
    (LEVEL, "level fullstand niveau nivel"),
    (RESERVOIR, "reservoir tank bottle expansion ausgleichsbehalter"),
    (SYSTEM, "system circuit"),
    (CABIN, "cabin interior inside cockpit innenraum"),
    (VENT, "vent duct"),
    (FAN, "fan blower lufter ventilateur ventilador"),
    (TARGET, "target desired setpoint requested commanded specified soll limit model modelled"),
    (STATISTIC, "maximum minimum max min average avg mean"),
    (OTHER, "\
      status warning lamp raw fault flag throttle pedal trim mil cleared codes trouble distance wheel axle brake inverter tyre tire
      wind rail timing advance injection injector ignition oxygen lambda evaporator evap compressor refrigerant conditioning ac
      differential intercooler pump thermostat urea reagent torque delay"),
    (SATELLITE, "gps satellite"),
    (TURBO, "charger turbo turbine turbocharger ladeluft"),
    (CALCULATED, "calculated calc"),
    (SENSOR, "sensor"),
    (SIGNAL, "signal name parameter variable channel pid item measurand messgrosse kanal"),
    (VALUE, "value wert messwert valeur valor reading"),
    (UNIT, "unit units einheit unite unidad unidade"),
];

/// Words that carry nothing.
#[rustfmt::skip]
pub const EMPTY: &str = "\
  de du des la le el do da of the in liquide liquido fluid der sensor current value actual ist obd deg degrees";
