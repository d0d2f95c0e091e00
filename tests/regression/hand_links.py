"""Links written by hand before the change: every kind of item that a link may hold."""

PAIRS = (
    # Nothing, a preset, what both share and what one has of its own.
    "",
    "a.needle=single-bend&b.needle=counter-bent&drive=torsional",
    "needle=straight&a.drive=axial&b.drive=torsional",
    "a.needle=straight-1.1&b.needle=single-bend-22-0.75&drive=elliptical&power=45",
    "power=80&a.power=25&view.apart=1",
    "a.needle=counter-bent&needle=straight&power=20&b.power=30",
    # Short names.
    "power=37.5&frequency=31.9&phase=45&temperature=37&mobility=0.3",
    "drive=elliptical&phase=90",
    "duty=pulsed&duty.on_time_ms=5&duty.off_time_ms=15",
    "duty=burst&duty.on_time_ms=10&duty.off_time_ms=40&drive=axial",
    "holds=power&lens=hard&lens.contact_percent=25",
    "markers=0,0.5,2.25,7",
    "aspiration=40&leak=5&bottle=110&vacuum=450&occlusion=80",
    "outside=wound&outside.temperature_c=33&duration=20",
    "outside=chamber&duration=10",
    "outside=dry&sleeve=none&duration=10",
    # Names as in a file.
    "drive.power_percent=60&drive.frequency_khz=41.5",
    "drive=torsional&drive.twist_stroke_deg=5",
    "drive=axial&drive.axial_stroke_um=70",
    "fluid.temperature_c=20&flow.aspiration_ml_min=30&sleeve.exposed_mm=2.5",
    "loss_factor=0.02&spacing_mm=0.1",
    "flow.leak_ml_min=8&flow.occlusion_percent=40",
    # Sleeve, lens, support, load.
    "sleeve=none",
    "a.sleeve=for-1.1&b.sleeve=none",
    "sleeve.mobility=0.6&sleeve.exposed_mm=1",
    "lens=soft",
    "a.lens=medium&a.lens.contact_percent=100",
    "lens=hard&lens.shear_modulus_kpa=500",
    "support=on",
    "support=on&support.place_mm=5&support.stiffness_mpa=3&support.length_mm=2",
    "press=on",
    "press=on&press.force_g=45&press.place_mm=8&press.length_mm=3&press.arc_deg=60&press.side_deg=30",
    # Events.
    "press=on&events=5:flow+lost&duration=12",
    "leak=2&occlusion=80&events=5:flow+lost,8.5:power:40&duration=20",
    (
        "events=0:drive+off,2:drive+on,4:occlusion:100,6:load::20.39:6,8:load+off,9:flow+lost::::1,"
        "12:flow+back&duration=15"
    ),
    "duty=pulsed&duty.on_time_ms=10&duty.off_time_ms=10&events=3:power:50&duration=8&press=on",
    # Needles of one's own.
    "a.needle=single-bend&a.needle.pieces=14.4:0,0.64:22.9:0.44,3.36:0",
    "needle=straight&needle.pieces=18:0:0.5:0.35&sleeve=none",
    "needle=counter-bent&needle.bevel_deg=45&needle.bypass_diameter_mm=0.2&needle.bypass_distance_mm=9",
    "needle=single-bend&needle.material.young_gpa=105&needle.material.density_kg_m3=4500",
    # Eye and tissue.
    "eye.iris_gap_mm=0.4&eye.iris_place_mm=7.5&eye.iris_side_deg=90&eye.iris_modulus_kpa=1.5",
    "eye.wound_width_mm=1.8&outside=wound&duration=10",
    "tissue.iris.friction=0.2&tissue.iris.pressure_kpa=1.2",
    # How it is looked at: nothing of it may change a number.
    "view.camera=edge&view.yaw=10&view.speed=2&view.play=0&view.phase_deg=90&view.zoom=end",
    "view.trails=0&view.envelope=0&view.exaggeration=40&view.sleeve_shown=1&power=55",
    "?power=12.5",
)
HEAT = (
    "press=on&duration=8&view.heat.rubbing.coefficient=0.2",
    "press=on&duration=8&view.heat.squeeze.modulus=5&view.heat.squeeze.loss=0.3",
    "occlusion=100&duration=8&view.heat.thermal.nusselt_annulus=6&view.heat.thermal.nusselt_bore=6",
    "press=on&duration=8&view.heat.thermal.annulus_mixing=2",
    "outside=chamber&duration=8&view.heat.thermal.chamber_film=300",
    "outside=air&duration=8&view.heat.thermal.air_film=20",
    "press=on&duration=8&view.heat.thermal.silicone_conductivity=0.26&view.heat.scale=fit",
    "a.drive=axial&b.drive=torsional&press=on&duration=8&view.heat.rubbing.coefficient=0.05",
)
FLOW = (
    "view.flow.hold_s=1.5",
    "bottle=110&view.flow.line_compliance_ul_mmhg=0.9",
    "vacuum=450&aspiration=40&view.flow.chamber_compliance_ul_mmhg=2",
    "needle.bypass_diameter_mm=0.2&needle.bypass_distance_mm=11",
)
CAMERA = (
    "view.film.frame_rate_per_s=35200",
    "view.film.side=b&view.film.aim=2&view.film.frames=24&view.film.noise=off",
    "drive=axial&view.film.view=flat&view.film.exposure_us=5&view.film.frame_rate_per_s=90000",
    (
        "power=40&view.film.marks=surface&view.film.pixel_um=8&view.film.signal_to_noise=50&"
        "view.film.seed=7&view.film.trigger_deg=30"
    ),
)
TISSUE = (
    "view.tissue.seed=7",
    "view.tissue.equal=1&power=60",
    "a.needle=straight&b.needle=counter-bent&a.drive=axial&b.drive=torsional&view.tissue.equal=1",
)
