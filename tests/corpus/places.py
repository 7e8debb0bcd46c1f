"""The invented registers of the corpus: sites, plants, chambers and semesters, and the names by which classes call them."""

from __future__ import annotations

from pathlib import Path

from ingest.home import Home, init_home

REGISTERS = {
    "sites": """site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,gauge
ridge,Ridge Top,upland,upper site;top of hill,39.10,-96.60,440,0.4,g1
bench,Limestone Bench,slope,mid slope,39.10,-96.60,425,0.6,g1
draw,Creek Draw,lowland,lower site;bottom,39.10,-96.60,400,1.8,g1
canada,Cañada Baja,lowland,,39.10,-96.60,398,1.6,g1
""",
    "taxa": """taxon,scientific_name,common_names,aliases,functional_group
ange,Andropogon gerardii,big bluestem,ANGE;A. gerardii,c4_grass
scsc,Schizachyrium scoparium,little bluestem,SCSC;Andropogon scoparius,c4_grass
pasm,Pascopyrum smithii,western wheatgrass,PASM;Agropyron smithii,c3_grass
elca,Elymus canadensis,Canada wildrye,ELCA,c3_grass
rhgl,Rhus glabra,smooth sumac,RHGL,shrub
quma,Quercus macrocarpa,bur oak,QUMA,tree
qumu,Quercus muehlenbergii,chinkapin oak,QUMU,tree
""",
    "chambers": """chamber,aliases,gauge_unit,resolution,maximum_pressure
c1,chamber 1;one,bar,0.5,40
c2,chamber 2;two,psi,10,600
c3,chamber 3;three,MPa,0.05,10
""",
    "gauges": """gauge,gauge_name,aliases,latitude_deg,longitude_deg,elevation_m,day_ends
g1,Hill gauge,,39.10,-96.60,420,07:00
""",
    "semesters": """semester,start_date,end_date
2023-fall,2023-08-21,2023-12-15
2024-spring,2024-01-16,2024-05-10
2024-fall,2024-08-26,2024-12-13
""",
    "sections": """semester,section,aliases
2023-fall,a,
2024-spring,a,
2024-fall,a,
2024-fall,b,
""",
}
SITES = {"ridge": "Ridge Top", "bench": "Limestone Bench", "draw": "Creek Draw", "canada": "Cañada Baja"}
TAXA = {
    "ange": "Andropogon gerardii",
    "scsc": "Schizachyrium scoparium",
    "pasm": "Pascopyrum smithii",
    "rhgl": "Rhus glabra",
    "quma": "Quercus macrocarpa",
}


def invented_home(root: Path) -> Home:
    """A new home with the invented registers."""
    home = init_home(root, code="invented-lab", timezone="America/Chicago")
    for register, text in REGISTERS.items():
        (home.registers / f"{register}.csv").write_text(text, "utf-8")
    return home
