"""A house whose panels show every paper of the stage: work in two steps, a source, a shared neutral, a second panel."""

from __future__ import annotations

from functools import cache

from deadfront.app.answers import Answered, answer
from deadfront.job.read import read_job

JOB = """
[job]
format = 1
name = "3 Alder Bend"
place = "Marlow Falls"
code.edition = "2023"
existing = true
[before]
complete = { panels = "yes", breakers = "yes", circuits = "yes", loads = "yes", sources = "yes" }
[before.service]
system = "120/240 1ph 3w"
disconnect = { rating_a = 200, sccr_ka = 10 }
outside = { present = "yes", marked = "meter disconnect", within_sight = true, readily_accessible = true, sccr_ka = 22 }
conductors = { size = "4/0", metal = "aluminum", kind = "SE", neutral_size = "2/0" }
utility.fault_current_ka = 8
[[before.panels]]
id = "p-1aa"
name = "Main panel"
fed_by = "service"
bus_a = 200
spaces = 12
main_at = "top"
service_equipment = "yes"
[[before.breakers]]
id = "b-1aa"
panel = "p-1aa"
spaces = [1, 3]
rating_a = 50
poles = 2
[[before.breakers]]
id = "b-2aa"
panel = "p-1aa"
spaces = [2]
rating_a = 15
poles = 1
[[before.breakers]]
id = "b-3aa"
panel = "p-1aa"
spaces = [5]
rating_a = 20
poles = 1
[[before.breakers]]
id = "b-4aa"
panel = "p-1aa"
spaces = [7]
rating_a = 20
poles = 1
[[before.breakers]]
id = "b-5aa"
panel = "p-1aa"
spaces = [9]
rating_a = 20
poles = 1
[[before.breakers]]
id = "b-6aa"
panel = "p-1aa"
spaces = [11]
half = "a"
rating_a = 15
poles = 1
[[before.circuits]]
id = "c-1aa"
name = "Range"
breaker = "b-1aa"
cable = { type = "SE", size = "8", metal = "aluminum", length_ft = 38 }
[[before.circuits]]
id = "c-2aa"
name = "Bobbie's room"
breaker = "b-2aa"
rooms = ["bedroom"]
place = "second floor, north"
[[before.circuits]]
id = "c-3aa"
name = "Kitchen counter, left of sink"
breaker = "b-3aa"
shares_neutral_with = "c-4aa"
[[before.circuits]]
id = "c-4aa"
name = "Kitchen counter, right of sink"
breaker = "b-4aa"
shares_neutral_with = "c-3aa"
[[before.circuits]]
id = "c-5aa"
name = "Lights"
breaker = "b-5aa"
[[before.openings]]
id = "o-1aa"
name = "Top left knockout"
panel = "p-1aa"
trade_size = "1/2"
state = "open"
[[work]]
id = "w-1aa"
say = "Range out, charger in, laundry moved"
remove = ["c-1aa", "b-1aa"]
move = { "b-5aa" = { spaces = [10] } }
[[work.add.breakers]]
id = "b-7aa"
panel = "p-1aa"
spaces = [6, 8]
rating_a = 40
poles = 2
protection = "ground fault"
listed_for_panel = true
[[work.add.circuits]]
id = "c-7aa"
name = "EV charger, garage"
breaker = "b-7aa"
cable = { type = "NM-B", size = "8", metal = "copper", conductors = 2, length_ft = 18 }
[[work]]
id = "w-2aa"
say = "Garage panel and solar"
[[work.add.breakers]]
id = "b-8aa"
panel = "p-1aa"
spaces = [4]
rating_a = 20
poles = 1
role = "source"
[[work.add.sources]]
id = "s-1aa"
name = "Solar, south roof"
kind = "solar"
breaker = "b-8aa"
[[work.add.breakers]]
id = "b-9aa"
panel = "p-1aa"
spaces = [9]
rating_a = 20
poles = 1
protection = "plain"
[[work.add.panels]]
id = "p-2aa"
name = "Garage panel"
fed_by = "b-9aa"
bus_a = 100
spaces = 8
main_at = "none"
mounting = "surface"
service_equipment = "no"
feeder = { type = "SER", size = "2", metal = "aluminum", conductors = 3, neutral_size = "2" }
[[work.add.electrodes]]
id = "n-1aa"
name = "Second rod"
kind = "rod"
length_ft = 8
conductor_size = "6"
conductor_metal = "copper"
[[work.add.breakers]]
id = "b-aaa"
panel = "p-2aa"
spaces = [1, 3]
rating_a = 40
poles = 2
controllable = true
[[work.add.circuits]]
id = "c-8aa"
name = "EV outlet, garage, second"
breaker = "b-aaa"
cable = { type = "NM-B", size = "8", metal = "copper", conductors = 2, length_ft = 22 }
"""


@cache
def house(text: str = JOB) -> Answered:
    """That house answered."""
    job = read_job(text)
    assert job.problems == (), job.problems
    return answer(job.job)
