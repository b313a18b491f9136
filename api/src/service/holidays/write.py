"""Writes days.csv: public holidays by country and part, from the `holidays` package (MIT).

Run it with a newer release of the package when its years run out:
    python3 -m pip install holidays && python3 write.py > days.csv
One row holds one holiday: country, part of it (empty: all of it), name, and its dates. A row of a
part holds only days that are not holidays of the whole country.
"""

import holidays

FIRST, LAST = 2026, 2031
WHOLE = (
    "AT AU BE BG BR CA CH CZ DE DK EE ES FI FR GB GR HR HU IE IS IT JP LT LU LV MT MX NL NO NZ PL "
    "PT RO SE SI SK US ZA"
).split()
IN_PARTS = "AU CA CH DE ES FR GB NZ PT US".split()
# A name that is somebody's mark is not printed.
RENAMED = {"Scotland's participation in the FIFA World Cup final": "Bank holiday (once)"}


def days(country, part):
    """Date and name of each holiday, in English where the package has it."""
    kind = getattr(holidays, country)
    words = {"years": range(FIRST, LAST + 1), "subdiv": part}
    for language in ("en_US", "en_GB", "en_AU", "en_CA"):
        if language in (kind.supported_languages or ()):
            words["language"] = language
            break
    return dict(kind(**words))


def rows(country):
    whole = days(country, None)
    yield from grouped(country, "", whole)
    if country in IN_PARTS:
        for part in sorted(getattr(holidays, country).subdivisions):
            own = {day: name for day, name in days(country, part).items() if day not in whole}
            yield from grouped(country, part, own)


def grouped(country, part, found):
    by_name = {}
    for day in sorted(found):
        name = RENAMED.get(found[day], found[day]).replace('"', "'")
        by_name.setdefault(name, []).append(day.isoformat())
    for name in sorted(by_name, key=lambda name: by_name[name]):
        yield f'{country},{part},"{name}",{" ".join(by_name[name])}'


print("country,part,name,days")
for country in WHOLE:
    for row in rows(country):
        print(row)
