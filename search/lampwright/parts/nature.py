"""Constants of nature, as the SI of 2019 fixes them; no part's figures, so in no data file.

h, c, k, e and K_cd are exact, and with them Stefan and Boltzmann's sigma. Written out, since scipy's
list, with which the tests compare them, costs a tenth of a second to import.

Source: BIPM, The International System of Units, 9th edition, 2019, table 1 (MEMORY).
"""

from math import pi

PLANCK = 6.62607015e-34  # h [J s]
LIGHT_SPEED = 299792458.0  # c [m/s]
BOLTZMANN = 1.380649e-23  # k [J/K]
ELEMENTARY_CHARGE = 1.602176634e-19  # e [C]
LUMINOUS_EFFICACY = 683.0  # K_cd [lm/W]
STEFAN_BOLTZMANN = 2.0 * pi**5 * BOLTZMANN**4 / (15.0 * PLANCK**3 * LIGHT_SPEED**2)  # sigma [W/(m2 K4)]
