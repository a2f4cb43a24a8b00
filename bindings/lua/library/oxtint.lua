-- SPDX-License-Identifier: GPL-3.0-or-later
---@meta oxtint

-- Annotations of the module for the Lua language server. The module itself is in C; never put this
-- file where `require` looks.
--
-- A function that fails for a reason that lies in the data returns nil, a message, a code and a table of
-- details.
-- Misuse raises an error. Units are in the names: _K kelvin, _s seconds, _nm nanometres, _J_per_mol
-- joules per mole.

---Name of a status, without its prefix.
---@alias oxtint.code
---| "EARG" # not one of the choices, such as a steel that the log does not hold
---| "EDOMAIN" # a number is outside its valid range
---| "EUNIT" # a quantity has no unit, or one that does not fit
---| "EPARSE" # a text or file cannot be read as what it should be
---| "EFEW" # there are too few usable trials
---| "EIDENT" # the trials cannot determine what is asked of them
---| "ENOCONV" # an iteration did not converge
---| "EUNREACHABLE" # nothing in the physical range gives what is asked
---| "EVERSION" # a file was written by a newer, incompatible oxtint
---| "EIO" # the operating system refused to read or write a file
---| "ENOMEM" # memory ran out
---| "ESPACE" # a buffer is too small
---| "EBUG" # a defect in oxtint itself; please report it
---| "ECANCEL" # the caller asked to stop
---| "EEXIST" # there is a file of another kind, which is not replaced without being told

---What is known of a failure, besides its message and its code. A field is nil where nothing is known of it.
---@class oxtint.failure
---@field parameter? string parameter, field or file at fault, as the library calls it, such as "bath_K"
---@field value? number the number at fault, in the unit of the parameter
---@field low? number lowest valid value
---@field high? number highest valid value
---@field row? integer line of a file, row of a table or element of a list
---@field column? string of a table
---@field faults? oxtint.fault[] all that is wrong with a file or a table, the first thousand
---@field report? string the same as text, a line each

---@class oxtint.save_options
---@field overwrite? boolean whether a file of another kind is replaced too

---@alias oxtint.unit "F"|"C"|"K"

---K as a number, or a text such as "650 F"
---@alias oxtint.bath number|string

---s as a number, or a text such as "1:30"
---@alias oxtint.time number|string

---A trade name, "57 nm" or "#2b3a67" as a text; nm as a number, with bounds 5 % to either side;
---L*, a*, b*; or what oxtint.target returned
---@alias oxtint.wanted string|number|oxtint.lab_target|oxtint.target

---The module.
---@class oxtint
---@field version string such as "0.2.0"
---@field OIL_INDEX number refractive index of oil, wax or clear lacquer; common practice, no source
local oxtint = {}

-- ---- quantities ----

---Read a temperature such as "650 F", "343.5 C" or "616 K".
---@param text string
---@return number? temperature_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.parse_temperature(text) end

---Read a difference of two temperatures such as "5 F" or "3 C"; 9 F are 5 K.
---@param text string
---@return number? difference_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.parse_temperature_difference(text) end

---Read a duration such as "90 s", "1:30" or "1 min 30 s".
---@param text string
---@return number? time_s
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.parse_duration(text) end

---Read a length such as "6 mm", "1/4 in" or "60 nm".
---@param text string
---@return number? length_m
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.parse_length(text) end

---Write a temperature with at most one decimal, such as "650 F".
---@param temperature_K number
---@param unit? oxtint.unit "C" when left out
---@return string? text
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.format_temperature(temperature_K, unit) end

---Write a duration as it is read off a clock, such as "58 s" or "1:30".
---@param time_s number
---@return string? text
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.format_duration(time_s) end

---Write the length of a part with at most three decimals, such as "6.35 mm" or "0.25 in".
---@param length_m number
---@param unit? "mm"|"in" "mm" when left out
---@return string? text
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.format_length(length_m, unit) end

---Read an sRGB colour written as "#2b3a67".
---@param text string
---@return number? red 0 to 1
---@return number|string green or the message
---@return number|oxtint.code blue or the code
---@return oxtint.failure? details
function oxtint.parse_srgb(text) end

---Write an sRGB colour as "#2b3a67", each component rounded to 8 bits.
---@param srgb number[] red, green, blue, 0 to 1
---@return string? text
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.format_srgb(srgb) end

---Cautions as lists to read at the bench, each once, however many results they come from.
---@param cautions (oxtint.caution|string)[] those of results, or their names
---@param detail? "brief"|"whole" "brief" when left out
---@return string text
function oxtint.cautions_report(cautions, detail) end

-- ---- materials and lights ----

---Name of a published table: iron and chromium of Johnson and Christy 1974, magnetite and hematite
---(ordinary ray) of Querry 1985.
---@alias oxtint.substance "iron"|"chromium"|"magnetite"|"hematite"

---CIE illuminant: daylight, print viewing, tungsten, plain and three-band fluorescent lamp, LED of
---about 4100 K and of about 2700 K.
---@alias oxtint.illuminant "D65"|"D50"|"A"|"FL2"|"FL11"|"LED-B3"|"LED-V1"

---Finish of the surface. Its spreads are the project's own assumption.
---@alias oxtint.grade "mirror"|"satin"|"matte"

---A table of your own; between its rows n and k are linear in wavelength.
---@class oxtint.material_table
---@field name string up to 31 bytes
---@field wavelength_nm number[] rising, from 380 or below to 780 or above
---@field n number[] refractive index, above 0, up to 100
---@field k number[] absorption index, 0 (transparent) to 100

---A table of complex refractive index n + ik. It never changes; films keep their own copy.
---@class oxtint.material
---@field name string
local material = {}

---Index at a wavelength.
---@param wavelength_nm number 380 to 780
---@return number? n
---@return number|string k or the message
---@return oxtint.code? code
---@return oxtint.failure? details
function material:index(wavelength_nm) end

---Free the material now; it may be called again.
function material:close() end

---A material as published, or from a table of your own. A message about a table names the row.
---@param what oxtint.substance|oxtint.material_table
---@return oxtint.material? material
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.material(what) end

---Shape of a part. Its size is the full thickness of a plate, the diameter of a cylinder or sphere, and
---volume over surface of any other shape.
---@alias oxtint.shape "plate"|"cylinder"|"sphere"|"any"

---What a part may be made of; temperatures may be texts with a unit.
---@class oxtint.new_part
---@field shape? oxtint.shape "plate"
---@field size_m? number|string thickness of a plate, diameter, or volume over surface, up to 1; 0, none
---@field start? number|string temperature before the dip, K or a text; 293.15
---@field transfer_W_per_m2K? number heat transfer of the bath, above 0; 600
---@field density_kg_per_m3? number 1 to 1e5; 7850
---@field heat_J_per_kgK? number specific heat; carbon steel by temperature when left out
---@field conductivity_W_per_mK? number carbon steel by temperature when left out
---@field metal? "steel"|"brass"|"bronze"|"nickel silver" "steel"; the others are refused when used
---@field flow? "stirred"|"still" how the salt moves past it; "stirred"
---@field transfer_at_K? number difference at which a still bath has transfer_W_per_m2K, 1 to 1000; 100
---@field transfer_exponent? number of a still bath, up to 1; 1/4
---@field wetted? number share of the surface that the salt reaches, above 0, up to 1; 1

---A part on its way into a bath. It never changes.
---@class oxtint.part
---@field shape string
---@field size_m number
---@field start_K number
---@field transfer_W_per_m2K number
---@field density_kg_per_m3 number
---@field heat_J_per_kgK number 0: carbon steel by temperature
---@field conductivity_W_per_mK number 0: carbon steel by temperature
---@field metal string
---@field flow string
---@field transfer_at_K number 0: 100
---@field transfer_exponent number 0: 1/4
---@field wetted number 0: all of it
local part = {}

---How a part warms up.
---@class oxtint.warming
---@field lumped boolean one temperature throughout, as a part of any shape is
---@field biot number heat transfer times volume over surface, over conductivity
---@field tau_s number time constant, of the slowest term
---@field heat_J_per_kgK number that was used
---@field conductivity_W_per_mK number that was used
---@field conduction_length_m number sections farther apart than this warm up each at its own pace

---@param bath number|string K, or a text such as "600 F"
---@return oxtint.warming? warming
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function part:warming(bath) end

---Temperature of the surface after a time in the bath.
---@param bath number|string
---@param time number|string
---@return number? temperature_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function part:surface_temperature(bath, time) end

---Exposure of the surface from entering the bath, nm^2; its root is the film on bare steel.
---@param steel oxtint.steel
---@param bath number|string
---@param time number|string
---@return number? exposure_nm2
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function part:exposure(steel, bath, time) end

---Time from entering the bath that grows a thickness on bare steel.
---@param steel oxtint.steel
---@param thickness_nm number
---@param bath number|string
---@return number? time_s
---@return number|string lag_s how much of it is heating-up time, or the message
---@return oxtint.code? code
---@return oxtint.failure? details
function part:time_for(steel, thickness_nm, bath) end

---The way of a part from the bath to the quench, through air.
---@class oxtint.lift
---@field delay_s? number from leaving the bath to the quench, 0 to 3600; 0
---@field air_K? number 200 to 400; 293.15
---@field convection_W_per_m2K? number heat transfer to the air, 0 to 1000; 10
---@field emissivity? number of the surface, 0 to 1; 0.3

---What grows between leaving the bath at a temperature and the quench.
---@param steel oxtint.steel
---@param start number|string K, or a text
---@param lift oxtint.lift|oxtint.time
---@return number? exposure_nm2
---@return number|string quench_K temperature at the quench, or the message
---@return oxtint.code? code
---@return oxtint.failure? details
function part:lift_exposure(steel, start, lift) end

---Free what the part holds; may be called twice.
function part:close() end

---@param what oxtint.new_part
---@return oxtint.part? part
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.part(what) end

---A nitrate tempering salt; NaNO3 and KNO3 by weight; the same, half and half by mole; KNO3, NaNO2 and
---NaNO3, 53/40/7 by weight.
---@alias oxtint.salt "unstated"|"binary 60/40"|"binary eutectic"|"ternary"

---A salt: between which temperatures it is used, and what it is like at one of them.
---@class oxtint.salt_values
---@field melting_low_K number solid below
---@field melting_high_K number liquid above
---@field working_low_K number usual working range
---@field working_high_K number
---@field legal_high_K number a legal maximum for nitrate baths
---@field density_kg_per_m3 number NaN where no temperature was given
---@field heat_J_per_kgK number specific heat; NaN where no temperature was given
---@field name string
---@field source string where the limits are from
---@field viscosity_Pa_s number NaN where no temperature was given
---@field conductivity_W_per_mK number NaN where no temperature was given
---@field expansion_per_K number thermal expansion of the volume; NaN where no temperature was given

---Limits of a salt, and where a temperature is given its properties.
---@param salt oxtint.salt
---@param temperature? number|string K or a text
---@return oxtint.salt_values?
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.salt(salt, temperature) end

---What may be known of a bath.
---@class oxtint.new_bath
---@field salt? oxtint.salt "unstated"
---@field thermometer_offset_K? number|string to add to what the thermometer reads, -50 to 50; 0
---@field thermometer_sd_K? number|string standard deviation of its error; 0
---@field wander_K? number|string standard deviation from dip to dip; 0
---@field salt_kg? number 0: unlimited, never cooled
---@field heater_W? number power beyond the bath's own losses; 0

---A bath of salt with its thermometer and heater. It never changes.
---@class oxtint.salt_bath
---@field salt string
---@field thermometer_offset_K number
---@field thermometer_sd_K number
---@field wander_K number
---@field salt_kg number
---@field heater_W number
local pot = {}

---How a bath sags under a load.
---@class oxtint.sag
---@field lowest_K number the coldest that the bath gets
---@field lowest_s number when; infinite when it only creeps up to it (no heater)
---@field sag_K number start minus lowest_K
---@field recovery_s number until it is back within 0.1 K; infinite when it never is
---@field heat_J number that the load takes in the end
---@field cautions oxtint.caution[]

---True temperature from what the thermometer reads.
---@param reading number|string
---@return number? true_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:true_K(reading) end

---How far the bath sags from its true temperature when a load of such parts goes in.
---@param part oxtint.part
---@param load_kg number
---@param bath number|string
---@return oxtint.sag? sag
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:sag(part, load_kg, bath) end

---Exposure of each part of a load in the sagging bath, nm^2; its root is the film on bare steel.
---@param steel oxtint.steel
---@param part oxtint.part
---@param load_kg number
---@param bath number|string
---@param time number|string
---@return number? exposure_nm2
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:exposure(steel, part, load_kg, bath, time) end

---The salt that freezes on a cold part, and melts again.
---@class oxtint.crust
---@field melting_K number of the salt; NaN of an unstated one
---@field melted_s number when it has melted; 0: none freezes
---@field thickest_m number its thickness at most

---The crust of salt that freezes on a part.
---@param part oxtint.part
---@param bath number|string
---@return oxtint.crust? crust
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:crust(part, bath) end

---What the natural convection of a still bath is asked for.
---@class oxtint.convection_options
---@field size_m number|string height of what hangs upright, diameter of a bar that lies or of a sphere
---@field bath number|string true temperature
---@field difference_K? number|string between bath and surface; 100
---@field surface? "upright"|"lying"|"sphere" a plate or a bar, a bar, or a sphere; "upright"

---Natural convection in a still bath.
---@class oxtint.convection
---@field transfer_W_per_m2K number heat transfer at the difference asked for
---@field exponent number by which it falls with the difference from there to a tenth of it
---@field film_K number at which the salt's properties were taken
---@field rayleigh number
---@field prandtl number
---@field nusselt number

---Heat transfer of the still bath by natural convection, where none is measured.
---@param options oxtint.convection_options
---@return oxtint.convection? convection
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:convection(options) end

---What to mind at this bath when its thermometer reads so.
---@param reading number|string
---@return oxtint.caution[]? cautions
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function pot:cautions(reading) end

---Free what the bath holds; may be called twice.
function pot:close() end

---@param what? oxtint.new_bath
---@return oxtint.salt_bath bath
function oxtint.bath(what) end

---XYZ of the white of a light, Y = 100.
---@param illuminant? oxtint.illuminant "D65" when left out
---@param observer_deg? 2|10 field of the CIE 1931 or 1964 observer; 2 when left out
---@return number X
---@return number Y
---@return number Z
function oxtint.light_white(illuminant, observer_deg) end

---The XYZ that looks, under the white `to`, as `xyz` does under the white `from` (CAT16, complete
---adaptation).
---@param xyz number[]
---@param from number[] XYZ
---@param to number[] XYZ
---@return number? X
---@return number|string Y or the message
---@return number|oxtint.code Z or the code
---@return oxtint.failure? details
function oxtint.adapt_white(xyz, from, to) end

---Spreads that stand for a finish.
---@param grade oxtint.grade
---@return number thickness_spread standard deviation of ln thickness over the surface
---@return number angle_spread_deg tilt of its facets, root mean square in both directions together
function oxtint.finish(grade) end

---sRGB of an XYZ under D65. A colour that a screen cannot show loses chroma until it fits; lightness
---and hue in Oklab are kept.
---@param xyz number[] white Y = 100
---@return number? r
---@return number|string g or the message
---@return number|oxtint.code b or the code
---@return boolean|oxtint.failure|nil out_of_gamut, or the details; true when the chroma was reduced
function oxtint.srgb_keeping_hue(xyz) end

-- ---- films and colours ----

---A layer with its share of the thickness; all layers have a share, or none.
---@class oxtint.layer
---@field [1] oxtint.material|oxtint.substance
---@field share? number above 0; the shares of all layers make 1; equal when left out

---A finish as measured.
---@class oxtint.finish_spreads
---@field thickness_spread? number standard deviation of ln thickness, 0 to 0.5; 0
---@field angle_spread_deg? number tilt of the facets, root mean square in both directions together, 0 to 40; 0

---@class oxtint.film_options
---@field absorption_scale? number factor on the tabulated absorption of the layers, 0 to 5; 1
---@field layers? (oxtint.material|oxtint.substance|oxtint.layer)[] the outermost first
---@field substrate? oxtint.material|oxtint.substance what they grow on; iron
---@field angle_deg? number angle of incidence, 0 to 85; 0
---@field polarisation? "none"|"s"|"p" "none"
---@field finish? oxtint.grade|oxtint.finish_spreads "mirror"
---@field coat_index? number index of oil, wax or lacquer on top (OIL_INDEX), 1 to 2.5; none
---@field illuminant? oxtint.illuminant "D65"
---@field observer_deg? 2|10 field of the CIE 1931 or 1964 observer; 2
---@field words? oxtint.words a shop's own words for colours, which are then read and spoken

---@class oxtint.film_choice
---@field film? oxtint.film the film as tabulated when left out

---How a measured colour is compared.
---@class oxtint.match_options
---@field tolerance? number CIEDE2000 by which the colour may be wrong; 3
---@field reach? number CIEDE2000 beyond which it is no colour of this film; 15
---@field lightness_factor? number k_L of CIEDE2000, 1 or more: large for a photograph; 1
---@field chroma_factor? number k_C of CIEDE2000, 1 or more; with both at 1e9 hue alone counts; 1

---A film whose colour is near a measured one.
---@class oxtint.match
---@field thickness_nm number where the colour is nearest
---@field low_nm number where it is as near as the colour is certain: from here
---@field high_nm number to here
---@field uncertainty_nm number half of that stretch
---@field difference number CIEDE2000 at thickness_nm
---@field order integer order of interference, 1 or 2; 0 beyond the second

---The films that have a measured colour, the nearest first.
---@class oxtint.matches
---@field [integer] oxtint.match
---@field verdict "unique"|"ambiguous"|"off path"

---A colour of a list: three numbers.
---@class oxtint.colour
---@field [1] number
---@field [2] number
---@field [3] number
---@field out_of_gamut? boolean of sRGB alone: true when the chroma was reduced

---Films on a metal, seen in a light; magnetite on iron, straight on, in daylight, unless chosen
---otherwise. It never changes.
---@class oxtint.film
---@field description string what the film is, in words
local film = {}

---CIE L*a*b* of a thickness.
---@param thickness_nm number 0 to 1000
---@return number? L
---@return number|string a or the message
---@return number|oxtint.code b or the code
---@return oxtint.failure? details
function film:lab(thickness_nm) end

---sRGB of a thickness, adapted to D65, each component from 0 to 1.
---@param thickness_nm number 0 to 1000
---@return number? r
---@return number|string g or the message
---@return number|oxtint.code b or the code
---@return boolean|oxtint.failure|nil out_of_gamut, or the details; true when the chroma was reduced so that a screen can show it
function film:srgb(thickness_nm) end

---XYZ of a thickness, white Y = 100.
---@param thickness_nm number 0 to 1000
---@return number? X
---@return number|string Y or the message
---@return number|oxtint.code Z or the code
---@return oxtint.failure? details
function film:xyz(thickness_nm) end

---Reflectance of a thickness, 0 to 1: at a wavelength, at those of a list, or, with neither, a list
---of wavelengths from 380 to 780 nm and the list of reflectances there.
---@param thickness_nm number 0 to 1000
---@param wavelength_nm? number|number[] 380 to 780
---@return number|number[]|nil reflectance or the wavelengths
---@return number[]|string? reflectances or the message
---@return oxtint.code? code
---@return oxtint.failure? details
---@overload fun(self: oxtint.film, thickness_nm: number, wavelength_nm: number): number
---@overload fun(self: oxtint.film, thickness_nm: number, wavelength_nm: number[]): number[]
---@overload fun(self: oxtint.film, thickness_nm: number): number[], number[]
function film:reflectance(thickness_nm, wavelength_nm) end

---XYZ of the white of the film's light, Y = 100.
---@return number X
---@return number Y
---@return number Z
function film:white() end

---How far the colour of a thickness moves to another film: CIEDE2000, both adapted to D65. Of one
---stack in daylight and under a lamp, it is a figure of metamerism.
---@param other oxtint.film
---@param thickness_nm number 0 to 1000
---@return number? difference
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function film:difference(other, thickness_nm) end

---As film:lab from the prepared path: fast, within CIEDE2000 0.02. A list gives a list of colours.
---@param thickness_nm number|number[] 0 to 400
---@return number|oxtint.colour[]|nil L or the list
---@return number|string? a or the message
---@return number|oxtint.code? b or the code
---@return oxtint.failure? details
---@overload fun(self: oxtint.film, thickness_nm: number): number, number, number
---@overload fun(self: oxtint.film, thickness_nm: number[]): oxtint.colour[]
function film:path_lab(thickness_nm) end

---As film:xyz from the prepared path. A list gives a list of colours.
---@param thickness_nm number|number[] 0 to 400
---@return number|oxtint.colour[]|nil X or the list
---@return number|string? Y or the message
---@return number|oxtint.code? Z or the code
---@return oxtint.failure? details
---@overload fun(self: oxtint.film, thickness_nm: number): number, number, number
---@overload fun(self: oxtint.film, thickness_nm: number[]): oxtint.colour[]
function film:path_xyz(thickness_nm) end

---As film:srgb from the prepared path. A list gives a list of colours.
---@param thickness_nm number|number[] 0 to 400
---@return number|oxtint.colour[]|nil r or the list
---@return number|string? g or the message
---@return number|oxtint.code? b or the code
---@return boolean|oxtint.failure|nil out_of_gamut or the details
---@overload fun(self: oxtint.film, thickness_nm: number): number, number, number, boolean
---@overload fun(self: oxtint.film, thickness_nm: number[]): oxtint.colour[]
function film:path_srgb(thickness_nm) end

---All thicknesses from 0 to 280 nm that have a measured colour, the nearest first.
---@param lab number[] L*, a*, b* against the white of the film's light
---@param options? oxtint.match_options
---@return oxtint.matches? matches
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function film:match(lab, options) end

---The band of trade colour that a thickness lies in.
---@param thickness_nm number 0 to the end of the second order
---@return oxtint.tint? band
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function film:tint(thickness_nm) end

---All bands of trade colour, in order of thickness.
---@return oxtint.tint[] bands
function film:tints() end

---The band that a trade name means.
---@param name string such as "blue" or "second order blue"
---@return oxtint.tint? band
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function film:find_tint(name) end

---A target from whatever may stand for one.
---@param wanted oxtint.wanted
---@return oxtint.target? target
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function film:target(wanted) end

---Free the film now; it may be called again.
function film:close() end

---Another film than the one as tabulated.
---@param options? oxtint.film_options
---@return oxtint.film? film
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.film(options) end

---CIE L*a*b* of a film.
---@param thickness_nm number
---@param options? oxtint.film_choice
---@return number? L
---@return number|string a or the message
---@return number|oxtint.code b or the code
---@return oxtint.failure? details
function oxtint.film_lab(thickness_nm, options) end

---sRGB of a film, each component from 0 to 1.
---@param thickness_nm number
---@param options? oxtint.film_choice
---@return number? r
---@return number|string g or the message
---@return number|oxtint.code b or the code
---@return boolean|oxtint.failure|nil out_of_gamut, or the details; true when the chroma was reduced so that a screen can show it
function oxtint.film_srgb(thickness_nm, options) end

---Reflectance of a film from 380 to 780 nm.
---@param thickness_nm number
---@param options? oxtint.film_choice
---@return number[]? wavelength_nm
---@return number[]|string reflectance 0 to 1, or the message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.film_reflectance(thickness_nm, options) end

---CIEDE2000 colour difference.
---@param lab1 number[] L*, a*, b*
---@param lab2 number[] L*, a*, b*
---@return number? difference
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.delta_e2000(lab1, lab2) end

---L*, a*, b* of an XYZ.
---@param xyz number[] white Y = 100
---@param white_xyz? number[] white of the same light; daylight when left out
---@return number? L
---@return number|string a or the message
---@return number|oxtint.code b or the code
---@return oxtint.failure? details
function oxtint.lab_from_xyz(xyz, white_xyz) end

---XYZ of L*, a*, b*; the inverse of oxtint.lab_from_xyz.
---@param lab number[]
---@param white_xyz? number[] daylight when left out
---@return number? X
---@return number|string Y or the message
---@return number|oxtint.code Z or the code
---@return oxtint.failure? details
function oxtint.xyz_from_lab(lab, white_xyz) end

---XYZ under daylight of an sRGB colour.
---@param srgb number[] 0 to 1
---@return number? X
---@return number|string Y or the message
---@return number|oxtint.code Z or the code
---@return oxtint.failure? details
function oxtint.xyz_from_srgb(srgb) end

---Trade name of a film's colour, with its order where needed.
---@param thickness_nm number
---@param options? oxtint.film_choice
---@return string? label
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.name_of(thickness_nm, options) end

---One band of trade colour.
---@class oxtint.tint
---@field index integer its place in the list, from 1
---@field order integer order of interference, 1 or 2
---@field other_index? integer place of the band of the other order with the same name of colour
---@field name string trade name, such as "dark straw"
---@field label string name with its order where needed, such as "second-order blue"
---@field low_nm number where the band begins
---@field high_nm number where it ends
---@field centre_nm number geometric mean of the two; 0, bare steel, for "bright"

---All bands of trade colour, in order of thickness.
---@param options? oxtint.film_choice
---@return oxtint.tint[] bands
function oxtint.tints(options) end

---L*, a*, b* as a list, and how near a film must come.
---@class oxtint.lab_target
---@field [1] number L*
---@field [2] number a*
---@field [3] number b*
---@field tolerance? number largest CIEDE2000 that counts as the colour; 10
---@field order? integer 1 or 2; 0 takes the nearest of both; 0

---A wanted colour as thickness.
---@class oxtint.target
---@field aim_nm number thickness to aim for
---@field low_nm number thinnest film that still shows the colour
---@field high_nm number thickest film that still shows the colour
---@field other_nm number the same colour in another order, NaN when there is none
---@field order integer order of interference of aim_nm, 0 beyond the second
---@field text string the target in words
---@field description string film it was computed with, "" for a bare thickness
local target = {}

---Free the target now; it may be called again.
function target:close() end

---A target from whatever may stand for one.
---@param wanted oxtint.wanted
---@param options? oxtint.film_choice
---@return oxtint.target? target
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.target(wanted, options) end

-- ---- logs of trials ----

---One coupon of a log. `seen` names the one field of the four that is there. What is not stated is not
---there either.
---@class oxtint.trial
---@field steel string name of the steel
---@field finish string name of the finish, may be ""
---@field bath_K number
---@field time_s number
---@field seen "colour"|"thickness_nm"|"lab"|"srgb" name of the field with what was seen
---@field colour? string trade name
---@field thickness_nm? number
---@field lab? number[] L*, a*, b*
---@field srgb? string "#rrggbb"
---@field line integer line of the file that it came from, 0 when it came from memory
---@field note string anything worth keeping, may be ""
---@field part_size_m? number size of the coupon
---@field part_shape? oxtint.shape
---@field part_start_K? number before the dip
---@field transfer_W_per_m2K? number heat transfer of the bath
---@field lift_s? number from leaving the bath to the quench
---@field bath_sd_K? number standard deviation of bath_K
---@field time_sd_s? number standard deviation of time_s
---@field thickness_sd_nm? number standard error of a measured thickness
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong
---@field day? string name of the day or the batch that it ran in
---@field lifted? oxtint.lifted where in the band of its colour it was lifted

---Where in the band of its colour a coupon was lifted: as soon as the colour was there, at its best, as the next one
---came, or by the clock and read after.
---@alias oxtint.lifted "first"|"middle"|"last"|"after"

---One coupon to add: steel, bath and time, and exactly one thing seen.
---@class oxtint.new_trial
---@field steel string name of the steel
---@field finish? string name of the finish
---@field bath oxtint.bath
---@field time oxtint.time
---@field colour? string trade name, such as "dark straw" or "second order blue"
---@field thickness_nm? number
---@field lab? number[] L*, a*, b*
---@field srgb? string "#rrggbb"
---@field note? string anything worth keeping
---@field part? number|string size of the coupon, m or a text such as "6 mm"; from here on 0 is not stated
---@field shape? oxtint.shape with a part; "plate"
---@field start? oxtint.bath with a part: temperature before the dip
---@field transfer_W_per_m2K? number with a part: heat transfer of the bath
---@field lift? oxtint.time from leaving the bath to the quench
---@field bath_sd? number|string standard deviation of the bath, K or a difference such as "5 F"
---@field time_sd? oxtint.time standard deviation of the time
---@field thickness_sd_nm? number standard error of a measured thickness
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong
---@field day? string name of the day or the batch that it ran in; trials of one day share what changes from day to day
---@field lifted? oxtint.lifted where in the band of its colour it was lifted

---One fault of a file.
---@class oxtint.fault
---@field line integer line of the file, from 1; 0 when the file as a whole is meant
---@field column string column as its header names it, "" when the whole line is meant
---@field found string the offending text, cut to fit
---@field expected string what should stand there
---@field row integer row of a table of columns, from 1; 0 for a file, or when the whole table is meant

---A log of trials: `#log` is their number, `log[i]` a copy of one of them.
---@class oxtint.trials
---@field [integer] oxtint.trial
---@operator len: integer
local trials = {}

---Add one trial; one that does not hold is not added.
---@param trial oxtint.new_trial
---@return true? added
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function trials:add(trial) end

---Add the dips that were recorded with a steel as coupons: all of them, or none.
---@param steel oxtint.steel
---@return true? added
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function trials:add_record(steel) end

---Columns by the names of a log's file: lists of numbers or texts, all of one length. false, "" and NaN stand for
---what is missing.
---@alias oxtint.columns table<string, (number|string|false)[]>

---Add the rows of a table of columns, all of them or none. The columns are those of read_trials, and are held to the
---same.
---@param columns oxtint.columns
---@return true? added
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function trials:add_columns(columns) end

---The columns that write() would write, as lists: numbers are NaN and texts "" where there is none. add_columns takes
---them back.
---@return oxtint.columns
function trials:columns() end

---@class oxtint.trial_group
---@field steel string
---@field finish string may be ""
---@field count integer trials

---Each steel with each of its finishes, in order of appearance.
---@return oxtint.trial_group[]
function trials:groups() end

---Scale on which its baths were typed: that of its column's name, or of the first text such as "650 F"; C for a log
---of numbers in K. Remarks of check(), and the entry of anchor(), are told in it.
---@return oxtint.unit
function trials:unit() end

---State how the coupons were run, for those trials that do not say it themselves. A fit then allows for their heating
---up and for their growth on the way to the quench, and its card holds for the steel itself.
---@param coupon? oxtint.part|number|string its size, shape, start and transfer count
---@param lift? oxtint.lift|oxtint.time its way to the quench
---@return oxtint.trials? log the log itself
---@return oxtint.error? error
function trials:set_coupon(coupon, lift) end

---Say on which scale its baths were typed. It changes no trial.
---@param unit oxtint.unit
function trials:set_unit(unit) end

---What looks like a slip, though it is no error: columns that were kept as notes, names that differ only
---in case or blanks, sizes in a column of thicknesses, baths and times far from the rest, and what a fit
---still needs. An empty list when there is none.
---@param unit? oxtint.unit scale in which baths are written; that of the log
---@param options? oxtint.film_choice
---@return oxtint.fault[]? remarks
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function trials:check(unit, options) end

---Write the log as CSV that reads back to the same trials. The file appears whole or not at all.
---@param path string
---@param options? oxtint.save_options
---@return true? written
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function trials:write(path, options) end

---The text of that file.
---@return string text
function trials:to_csv() end

---Free the log now; it may be called again.
function trials:close() end

---One word of a shop: a band of trade colour, or a range of thickness.
---@class oxtint.word
---@field word string as the shop writes it
---@field index? integer number of the band, from 1; nil for a range
---@field low_nm number thinnest film of a range, 0 for a band
---@field high_nm number thickest film of a range, 0 for a band
---@field line integer line of the file

---A shop's own words for colours: `#words` is their number, `words[i]` a copy of one of them.
---@class oxtint.words
---@field [integer] oxtint.word
---@operator len: integer
local words = {}

---Free the words now; films and logs have copies. It may be called again.
function words:close() end

---Read a shop's words from a CSV file with the columns word, and band or low_nm and high_nm.
---@param path string
---@return oxtint.words? words
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_words(path) end

---The same from the text of such a file.
---@param text string
---@return oxtint.words? words
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_words_text(text) end

---An empty log.
---@param words? oxtint.words a shop's own words, which its trials may use
---@return oxtint.trials? log
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.new_trials(words) end

---Read a log from a CSV file: all of it, or all of its faults.
---@param path string
---@param words? oxtint.words a shop's own words for colours, which its trials may use
---@return oxtint.trials? log
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_trials(path, words) end

---The same from the text of such a file.
---@param text string
---@param words? oxtint.words
---@return oxtint.trials? log
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_trials_text(text, words) end

-- ---- fits ----

---@class oxtint.growth
---@field law "parabolic"|"power"|"linear-parabolic"|"logarithmic"
---@field k_ref_nm2_per_s number nm^2/s, rate at T_ref_K
---@field T_ref_K number reference temperature
---@field Q_J_per_mol number activation energy
---@field shape number of the law: n, A in nm or L in nm; 0 of the parabolic one
---@field middle_nm number film that grows as by the parabolic law; 0 of that law
---@field initial_nm number nm, film that every part has before a dip; 0: bare steel

---@class oxtint.fit_options
---@field steel? string only trials of this steel; may be left out when the log holds just one
---@field finish? string only trials of this finish
---@field Q_J_per_mol? number hold Q at this value
---@field Q_stderr_J_per_mol? number standard error of a held Q
---@field scatter? number scatter of ln thickness; estimated when left out
---@field thickness_uncertainty? number relative standard error of a measured thickness; 0.02
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong; 3
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_sd_K? number|string standard deviation of each logged bath; 0
---@field time_sd_s? number|string standard deviation of each logged time; 0
---@field errors_in_variables? "effective-variance"|"orthogonal" how these two enter
---@field robust? "none"|"huber"|"tukey" how rows far from the rest are weighed
---@field names? "as-bands"|"as-middles" how a trade name is read; "as-bands"
---@field lifted? oxtint.lifted where in the band of its colour a coupon was lifted that states nothing; "after"
---@field rounding? "nearest"|"cut"|"none" how times and baths were read that are all multiples of a coarse step; "nearest"
---@field reader_sd? number standard deviation of ln thickness by which who gave the names may see colours elsewhere, 0 to 1; fitted where the log holds measured films too; 0
---@field law? "parabolic"|"power"|"linear-parabolic"|"logarithmic"|"best" by which the film grows, "best" the one that the trials show; "parabolic"
---@field law_shape? number of the law: n, A in nm or L in nm; 0: fitted
---@field ln_shape_sd? number standard deviation of ln shape about law_shape, with which it is fitted; 0: it is held
---@field law_middle_nm? number nm, film at which the law is scaled; 0: the middle one of the trials
---@field with_initial? boolean whether a film that every coupon had before its dip is fitted; false
---@field prior? oxtint.prior what is known beforehand
---@field film? oxtint.film film that colours are read with
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---What is known of a steel before its trials: of the rate, of Q, or of both.
---@class oxtint.prior
---@field temperature_K? number at which ln_k holds
---@field ln_k? number ln of the rate in nm^2/s
---@field ln_k_stderr? number its standard error; 0 when nothing is known of the rate
---@field Q_J_per_mol? number activation energy
---@field Q_stderr_J_per_mol? number its standard error; 0 when nothing is known of Q

---What is known of mild steel in a nitrate bath: published Q, and a minute at 650 F for blue.
---@param choice? oxtint.film_choice
---@return oxtint.prior? prior
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.mild_steel_prior(choice) end

---Standard errors.
---@class oxtint.stderr
---@field ln_k_ref number
---@field k_ref_nm2_per_s number
---@field Q_J_per_mol number

---One trial as the fit read it.
---@class oxtint.row
---@field trial integer place in the log, from 1
---@field line integer line of the file, 0 when there was none
---@field used boolean
---@field order integer order of interference that it was read in, 0 for a thickness
---@field low_nm number interval of thickness that was seen
---@field high_nm number
---@field observed_nm number geometric mean of the interval, NaN when not used
---@field predicted_nm number by the fit
---@field residual number ln(observed / predicted), NaN when not used
---@field sigma number standard deviation of the residual: width seen and scatter
---@field studentized number residual over its own standard error, the row left out
---@field leverage number 0 to 1: how much the row decides its own prediction
---@field reason string why it was not used, "" when it was
---@field weight number 0 to 1: its robust weight, 1 without them
---@field cooks_distance number by how much the constants move when it is left out, in their errors
---@field dip_change number change of ln of the time of any dip in its bath when it is left out
---@field equivalent_s number at bath temperature that would grow as much as its own time did

---What may be chosen about a comparison of laws.
---@class oxtint.record_options
---@field time? number|string when it was lifted; as predicted when left out
---@field label? string kept with it, such as a date
---@field film? oxtint.film film that `seen` is read with; that of the card when left out

---@class oxtint.track_record_options
---@field false_alarm? number chance that a card which keeps its promises is said not to, 0.001 to 0.1; 0.01

---A dip by a card: what was promised, and what came out.
---@class oxtint.recorded_dip
---@field bath_K number as its thermometer read
---@field time_s number when it was lifted
---@field low_nm number bounds of what was wanted
---@field high_nm number
---@field chance number 0 to 1, promised; -1: it was lifted at another time than predicted
---@field hit boolean whether the wanted colour came out
---@field k_ref_nm2_per_s number rate of the card that promised it
---@field part_shape "plate"|"cylinder"|"sphere"|"any"
---@field part_size_m number 0: as the coupons of the card
---@field lift_s number 0: as the coupons
---@field target string what was wanted
---@field seen string what came out, as it was typed
---@field label string the caller's own
---@field coupon_time_s number when a coupon of the card would have been lifted with the same film; 0: as the part, or the constants of the card stand for the steel itself

---What came of the dips of a card beside what was promised.
---@class oxtint.record
---@field name string steel and finish
---@field dip_count integer dips recorded
---@field promised_count integer of which lifted as predicted, by the rate that the card has now
---@field hit_count integer of which showed the wanted colour
---@field expected_hits number sum of the chances promised
---@field confidence number of the two limits
---@field hits_low number limits of the hits to be expected, by those there were; NaN without a dip
---@field hits_high number
---@field p_value number chance of so few hits if every promise were kept
---@field recent_p_value number the same of the last 20
---@field false_alarm number chance that a card which keeps its promises is said not to
---@field kept boolean whether it keeps them, as far as the dips show
---@field bin_count number[] dips by the chance promised: up to 50, 70, 85, 95 and 100 %
---@field bin_expected number[] sum of their chances
---@field bin_hits number[]
local record = {}

---Hits against promises, a calibration table, and whether the card keeps its promises.
---@return string
function record:report() end

---Free the record now; it may be called again.
function record:close() end

---@class oxtint.cross_validation_options
---@field by_bath? boolean leave out each coupon with all others within 5 K of its bath; false
---@field confidence? number of all limits, 0.5 to 0.9999; 0.95
---@field threads? integer 1 to 256; one per processor when left out
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---One coupon, predicted from the others.
---@class oxtint.cross_validation_row
---@field trial integer index in the log, from 1
---@field line integer line of the file, 0 when there was none
---@field bath_K number as logged
---@field time_s number as logged
---@field seen string what was seen, in words
---@field observed_nm number geometric mean of what was seen
---@field predicted boolean whether the others predict it; else what follows is NaN, false and ""
---@field predicted_nm number by the fit of the others
---@field low_nm number limits of its film
---@field high_nm number
---@field colour string trade colour of predicted_nm
---@field chance number 0 to 1: that such a coupon shows this colour
---@field hit boolean whether it does
---@field reason string why the others do not predict it, "" when they do

---Each coupon of a fit predicted from the others.
---@class oxtint.cross_validation
---@field unit oxtint.unit scale of the log, of which report() makes use unless another is named
---@field coupon_count integer coupons that the fit used
---@field predicted_count integer of which the others predict
---@field hit_count integer of which show the colour predicted
---@field expected_hits number sum of the chances that were promised
---@field hits_low number limits of the hits to be expected, by those there were; NaN when none was predicted
---@field hits_high number
---@field confidence number of all limits
---@field by_bath boolean whether each was left out with all coupons of its bath
---@field rows oxtint.cross_validation_row[] in the order of the log
local cross_validation = {}

---A report to read at the bench.
---@param unit? oxtint.unit "C" when left out
---@return string
function cross_validation:report(unit) end

---Free the cross-validation now; it may be called again.
function cross_validation:close() end

---@class oxtint.laws_options
---@field with_initial? boolean each law may have a film that was there before the dip; false
---@field confidence? number of the intervals and of the verdict, 0.5 to 0.9999; 0.95
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---One law on the trials. The numbers are NaN when it did not converge.
---@class oxtint.law_result
---@field kind "parabolic"|"power"|"linear-parabolic"|"logarithmic"
---@field converged boolean
---@field parameters integer how many the law was offered
---@field k_ref number rate at T_ref_K: nm^2/s, nm^n/s with the power law, nm/s with the logarithmic
---@field ln_k_stderr number standard error of ln k_ref
---@field Q_J_per_mol number activation energy of this k
---@field Q_stderr_J_per_mol number 0 when Q was held
---@field shape number n, or A or L in nm; NaN for the parabolic law
---@field shape_stderr number NaN at a limit
---@field shape_low number NaN at a limit
---@field shape_high number NaN at a limit
---@field shape_at_limit boolean n is 1 or 12, A is 0, L is a hundredth of the middle film, or A or L is effectively infinite
---@field initial_nm number film before the dip
---@field initial_at_zero boolean it was asked for, but less than nothing would fit best
---@field chi_square number
---@field dof number rows less parameters
---@field aicc number
---@field aicc_difference number from the lowest of all laws
---@field weight number 0 to 1: Akaike weight
---@field lack_of_fit_F number NaN where no two coupons were alike
---@field lack_of_fit_p number

---Laws of growth compared; fit:laws() makes it. It never changes.
---@class oxtint.laws
---@field unit oxtint.unit scale of the log, of which report() makes use unless another is named
---@field verdict "holds"|"open"|"contradicted" of the parabolic law
---@field best "parabolic"|"power"|"linear-parabolic"|"logarithmic" of lowest AICc
---@field rival "parabolic"|"power"|"linear-parabolic"|"logarithmic" the lowest of the others; parabolic when none converged
---@field exponent number n of the power law: x grows as time^(1/n)
---@field exponent_low number
---@field exponent_high number
---@field F number power law against the parabolic one, 1 and F_dof degrees of freedom
---@field F_dof number
---@field p number chance of so large an F when the parabolic law holds
---@field T_ref_K number middle bath
---@field middle_nm number middle film of the trials
---@field thinnest_nm number
---@field thickest_nm number
---@field time_ratio_half number time for half the middle film by the rival over that by the parabolic law
---@field time_ratio_twice number the same for twice the middle film
---@field confidence number of the intervals and of the verdict
---@field row_count integer trials compared
---@field replicate_count integer of them beyond the first of each set of like coupons
---@field Q_held boolean Q was held in every law
---@field results table<string, oxtint.law_result> the laws by their names
---@field sentence string the verdict in words
local laws = {}

---A report to read at the bench; also what tostring gives.
---@param unit? "F"|"C"|"K" the scale of the log by default
---@return string
function laws:report(unit) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function laws:to_json() end

---Free the comparison now; it may be called again.
function laws:close() end

---@class oxtint.profile_options
---@field bath? oxtint.bath of the dip, for "dip-time"
---@field confidence? number 0.5 to 0.9999; 0.95
---@field scale? "stated"|"reduced" errors of the rows as the fit has them, or times the root of its reduced chi-square
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---@class oxtint.interval_options
---@field bath? oxtint.bath of the dip, for "dip-time"
---@field thickness_nm? number film of the dip, on bare steel, for "dip-time"; 0: the middle one. All films of the parabolic law are alike
---@field confidence? number 0.5 to 0.9999; 0.95
---@field method? "percentile"|"bias-corrected"

---@class oxtint.bootstrap_options
---@field replicates? integer 100 to 1000000; 2000
---@field kind? "pairs"|"residual" draw whole rows, or their errors alone
---@field random_seed? integer the same one gives the same numbers on any number of threads; 1
---@field threads? integer 1 to 256; one per processor when left out
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---Many fits of logs drawn from the rows of one.
---@class oxtint.bootstrap
---@field unit oxtint.unit scale of the log, of which report() makes use unless another is named
---@field replicates integer how many were asked for
---@field failed integer of them left out: what was drawn could not be fitted
---@field T_ref_K number temperature of k_ref, that of the fit
---@field ln_k number ln k_ref of the fit itself
---@field Q_J_per_mol number Q of the fit itself
---@field mean_ln_k number mean of the replicates
---@field mean_Q_J_per_mol number
---@field sd_ln_k number standard deviation of the replicates
---@field sd_Q_J_per_mol number
---@field correlation number of ln k_ref and Q; NaN when Q was held without an error
---@field law "parabolic"|"power"|"linear-parabolic"|"logarithmic" of the fit
---@field law_shape number of the fit itself; 0 of the parabolic law, as the next
---@field law_middle_nm number nm, film at which it is scaled
---@field mean_ln_shape number mean of the replicates; 0 where the fit did not find the shape, as the next
---@field sd_ln_shape number standard deviation of the replicates
local bootstrap = {}

---Limits; of "dip-time" factors on the mean time of a dip.
---@param what "ln-k"|"Q"|"dip-time"|"shape"
---@param options? oxtint.interval_options
---@return number? low
---@return number|string high_or_message
---@return oxtint.code? code
---@return oxtint.failure? details
function bootstrap:interval(what, options) end

---The constants of every replicate, NaN for those left out.
---@return number[] ln_k
---@return number[] Q_J_per_mol
---@return number[] law_shape
function bootstrap:samples() end

---The constants with standard errors and limits; also what tostring gives.
---@param unit? "F"|"C"|"K" the scale of the log by default
---@return string
function bootstrap:report(unit) end

---Free the bootstrap now; it may be called again.
function bootstrap:close() end

---@class oxtint.fit
---@field unit oxtint.unit scale of the log, of which report() makes use unless another is named
---@field growth oxtint.growth
---@field k_ref_nm2_per_s number rate at T_ref_K
---@field T_ref_K number
---@field Q_J_per_mol number activation energy
---@field ln_k_stderr number standard error of ln k_ref
---@field Q_stderr_J_per_mol number
---@field variance_ln_k number
---@field covariance_J_per_mol number covariance of ln k_ref and Q
---@field variance_Q_J2_per_mol2 number
---@field correlation number of ln k_ref and Q; NaN when Q was held without an error
---@field confidence number of the four limits below
---@field k_ref_low_nm2_per_s number
---@field k_ref_high_nm2_per_s number
---@field Q_low_J_per_mol number NaN when Q was held
---@field Q_high_J_per_mol number NaN when Q was held
---@field scatter number standard deviation of ln thickness from one dip to the next
---@field chi_square number
---@field dof number degrees of freedom of the errors
---@field scatter_dof number degrees of freedom behind the scatter
---@field time_exponent number m of x growing as time^m, by the trials alone; 0: not known
---@field time_exponent_stderr number
---@field middle_nm number film about which the law bends
---@field reduced_chi_square number
---@field r_squared number share of the weighted variance of ln thickness explained
---@field aicc number corrected Akaike criterion; NaN with too few rows
---@field condition number condition number of the scaled design, 1 = best
---@field row_count integer trials of this steel and finish
---@field used_count integer of which used
---@field Q_held boolean true when Q was given
---@field prior_share_Q number 0 to 1: share of the information on Q that comes from the prior
---@field prior_share_ln_k number the same of ln k_ref
---@field warning_count integer
---@field day_count integer days that the used trials state, each that states none counting as one; 0: none does
---@field day_sd number standard deviation of ln thickness from one day to the next, beside the scatter
---@field reader_offset number ln thickness by which the reader's names lie at thicker films than by the optics; 0 where it was not fitted
---@field reader_offset_stderr number its standard error; reader_sd where it was not fitted
---@field ln_shape_stderr number standard error of ln of the shape of the law; 0 where it was held, or the law is parabolic
---@field law_shape number n, A in nm or L in nm; 0 of the parabolic law
---@field law_middle_nm number nm, film that grows as by the parabolic law; 0 of that law
---@field initial_nm number nm, film before every dip, where it was fitted; 0: bare steel
---@field initial_stderr_nm2 number nm^2, standard error of the exposure that it stands for
---@field covariance number[][] of ln k_ref and Q, 2 by 2
---@field stderr oxtint.stderr
---@field residuals number[] one per row, NaN when not used
---@field rows oxtint.row[]
---@field warnings string[] a sentence each
---@field steel oxtint.steel the steel that was found
local fit = {}

---A report to read at the bench.
---@param unit? oxtint.unit "C" when left out
---@return string
function fit:report(unit) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function fit:to_json() end

---Look for a drift in the log, whose order is taken for that of time.
---@param options? oxtint.drift_options
---@return oxtint.drift? drift
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function fit:drift(options) end

---Predict each coupon from the others: are the colours and their chances what came out?
---@param options? oxtint.cross_validation_options
---@return oxtint.cross_validation? validation
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function fit:cross_validate(options) end

---Is growth parabolic at all? Compare laws of growth on the trials of this fit.
---@param options? oxtint.laws_options
---@return oxtint.laws? laws
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function fit:laws(options) end

---Limits by the rise of chi-square when one number is held and the other fitted anew; of "dip-time"
---factors on the mean time of any dip.
---@param what "ln-k"|"Q"|"dip-time"
---@param options? oxtint.profile_options
---@return number? low
---@return number|string high_or_message
---@return oxtint.code? code
---@return oxtint.failure? details
function fit:profile(what, options) end

---Fit many logs drawn from the rows of this one.
---@param options? oxtint.bootstrap_options
---@return oxtint.bootstrap? bootstrap
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function fit:bootstrap(options) end

---Free the fit now; it may be called again. A steel taken out of it lives on.
function fit:close() end

---Fit the growth constants of one steel.
---@param log oxtint.trials
---@param options? oxtint.fit_options
---@return oxtint.fit? fit
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.fit(log, options) end

---What may be chosen about many fits: what may be chosen about each (its steel and finish, where they are given, say
---which groups are fitted), and how they are run.
---@class oxtint.fit_each_options
---@field steel? string only the groups of this steel
---@field finish? string only the groups of this finish
---@field Q_J_per_mol? number hold Q at this value
---@field Q_stderr_J_per_mol? number standard error of a held Q
---@field scatter? number scatter of ln thickness; estimated when left out
---@field thickness_uncertainty? number relative standard error of a measured thickness; 0.02
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong; 3
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_sd_K? number|string standard deviation of each logged bath; 0
---@field time_sd_s? number|string standard deviation of each logged time; 0
---@field errors_in_variables? "effective-variance"|"orthogonal" how these two enter
---@field robust? "none"|"huber"|"tukey" how rows far from the rest are weighed
---@field names? "as-bands"|"as-middles" how a trade name is read; "as-bands"
---@field lifted? oxtint.lifted where in the band of its colour a coupon was lifted that states nothing; "after"
---@field rounding? "nearest"|"cut"|"none" how times and baths were read that are all multiples of a coarse step; "nearest"
---@field reader_sd? number standard deviation of ln thickness by which who gave the names may see colours elsewhere, 0 to 1; fitted where the log holds measured films too; 0
---@field law? "parabolic"|"power"|"linear-parabolic"|"logarithmic"|"best" by which the film grows, "best" the one that the trials show; "parabolic"
---@field law_shape? number of the law: n, A in nm or L in nm; 0: fitted
---@field ln_shape_sd? number standard deviation of ln shape about law_shape, with which it is fitted; 0: it is held
---@field law_middle_nm? number nm, film at which the law is scaled; 0: the middle one of the trials
---@field with_initial? boolean whether a film that every coupon had before its dip is fitted; false
---@field prior? oxtint.prior what is known beforehand
---@field film? oxtint.film film that colours are read with
---@field threads? integer 1 to 256; one for each processor
---@field progress? fun(done: number): any called now and then with the share done, 1 at the end; anything but nil or false stops the call

---The fits of many groups as columns: lists of one length, in the order in which the groups appear in the log. Numbers
---are NaN where a group could not be fitted.
---@class oxtint.fits
---@field steel string[]
---@field finish string[] may be ""
---@field status string[] "OK", or the code of the error
---@field remarks string[] the warnings of the fit, a line each, or why there is none
---@field trial_count number[] trials of the group
---@field k_ref_nm2_per_s number[] rate at T_ref_K
---@field T_ref_K number[]
---@field Q_J_per_mol number[]
---@field ln_k_stderr number[] this and what follows as in oxtint.fit
---@field Q_stderr_J_per_mol number[]
---@field variance_ln_k number[]
---@field covariance_J_per_mol number[]
---@field variance_Q_J2_per_mol2 number[]
---@field correlation number[]
---@field confidence number[]
---@field k_ref_low_nm2_per_s number[]
---@field k_ref_high_nm2_per_s number[]
---@field Q_low_J_per_mol number[]
---@field Q_high_J_per_mol number[]
---@field scatter number[]
---@field chi_square number[]
---@field dof number[]
---@field scatter_dof number[]
---@field time_exponent number[]
---@field time_exponent_stderr number[]
---@field middle_nm number[]
---@field reduced_chi_square number[]
---@field r_squared number[]
---@field aicc number[]
---@field condition number[]
---@field row_count number[]
---@field used_count number[]
---@field Q_held number[] 1 where Q was given
---@field prior_share_Q number[]
---@field prior_share_ln_k number[]
---@field warning_count number[]
---@field day_count number[]
---@field day_sd number[]
---@field reader_offset number[]
---@field reader_offset_stderr number[]
---@field ln_shape_stderr number[]
---@field law ("parabolic"|"power"|"linear-parabolic"|"logarithmic")[]
---@field law_shape number[] n, A in nm or L in nm; 0 of the parabolic law
---@field law_middle_nm number[] nm, film that grows as by the parabolic law
---@field initial_nm number[] nm, film before every dip
---@field initial_stderr_nm2 number[]

---Fit each steel with each of its finishes by itself, on the threads of the machine. A group that cannot be fitted
---stops no other: its `status` and `remarks` say why. Any one of them as a whole is `oxtint.fit` of its steel and
---finish, to the last bit.
---@param log oxtint.trials
---@param options? oxtint.fit_each_options
---@return oxtint.fits? fits
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.fit_each(log, options) end

-- ---- pools ----

---@alias oxtint.pool_model "shared-q"|"finish-factors"|"separate"

---@class oxtint.pool_options
---@field model? oxtint.pool_model|"best" what the groups have in common; "shared-q"
---@field shrink? boolean whether a rate with few coupons is shrunk towards the others; false
---@field between_sd? number standard deviation of ln k between them; estimated when left out
---@field between_Q_sd_J_per_mol? number J/mol, of Q between them, with shrink and a shared Q; 0: one Q; estimated when left out
---@field scatter? number scatter of ln thickness; estimated when left out
---@field thickness_uncertainty? number relative standard error of a measured thickness; 0.02
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong; 3
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_sd_K? number|string standard deviation of each logged bath; 0
---@field time_sd_s? number|string standard deviation of each logged time; 0
---@field robust? "none"|"huber"|"tukey" how rows far from the rest are weighed
---@field prior? oxtint.prior what is known of Q beforehand; its rate is not used
---@field names? "as-bands"|"as-middles" how a trade name is read; "as-bands"
---@field lifted? oxtint.lifted where in the band of its colour a coupon was lifted that states nothing; "after"
---@field rounding? "nearest"|"cut"|"none" how times and baths were read that are all multiples of a coarse step; "nearest"
---@field law? "parabolic"|"power"|"linear-parabolic"|"logarithmic" by which the films of all groups grow; "parabolic"
---@field law_shape? number of the law, one for all groups: n (1 to 12), A in nm or L in nm; 0: fitted
---@field ln_shape_sd? number standard deviation of ln shape about law_shape, with which it is fitted; 0: it is held
---@field law_middle_nm? number nm, film at which the law is scaled; 0: the middle one of the trials
---@field film? oxtint.film film that colours are read with
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---One steel with one finish, as the pool sees it.
---@class oxtint.pool_group
---@field steel string
---@field finish string
---@field growth oxtint.growth
---@field ln_k_stderr number standard error of ln k_ref
---@field Q_stderr_J_per_mol number
---@field variance_ln_k number
---@field covariance_J_per_mol number covariance of ln k_ref and Q
---@field variance_Q_J2_per_mol2 number
---@field k_ref_low_nm2_per_s number
---@field k_ref_high_nm2_per_s number
---@field Q_low_J_per_mol number
---@field Q_high_J_per_mol number
---@field finish_factor number of the finish on the rate; NaN but with finish factors
---@field shrunk_by number 0 to 1: share of the way to the others that its rate was shrunk
---@field row_count integer its trials
---@field used_count integer of which used

---One of the three models beside the others.
---@class oxtint.pool_comparison
---@field model oxtint.pool_model
---@field fitted boolean false when the trials do not determine all of its parameters
---@field parameter_count integer
---@field chi_square number
---@field aicc number
---@field F number against the next richer model; NaN where there is none
---@field dof1 number
---@field dof2 number
---@field p_value number chance of so large an F when the poorer model is true

---Steels and finishes of one log fitted together. It never changes. Its lists are made when first asked for.
---@class oxtint.pool
---@field unit oxtint.unit scale of the log, of which report() makes use unless another is named
---@field model oxtint.pool_model the one taken
---@field shrunk boolean
---@field T_ref_K number at which the rates of all hold
---@field Q_J_per_mol number the shared one; NaN when each has its own, as the next three
---@field Q_stderr_J_per_mol number
---@field Q_low_J_per_mol number
---@field Q_high_J_per_mol number
---@field confidence number of all limits
---@field scatter number standard deviation of ln thickness from one dip to the next
---@field dof number degrees of freedom of the errors
---@field scatter_dof number degrees of freedom behind the scatter
---@field day_sd number standard deviation of ln thickness from one day to the next; 0 where no group states two days
---@field chi_square number
---@field aicc number
---@field between_sd number standard deviation of ln k between the groups; NaN for one
---@field between_Q_sd_J_per_mol number J/mol, of Q between the groups where they are draws, with shrink; else NaN
---@field parameter_count integer
---@field group_count integer
---@field row_count integer trials of the log
---@field used_count integer of which used
---@field warning_count integer
---@field law "parabolic"|"power"|"linear-parabolic"|"logarithmic" by which the films of all groups grow
---@field law_shape number n, A in nm or L in nm, of all groups; 0 of the parabolic law
---@field law_middle_nm number nm, film that grows as by the parabolic law, at which the rates of the groups hold
---@field ln_shape_stderr number standard error of ln of the shape; 0 where it was held
---@field groups oxtint.pool_group[] in the order in which they come first in the log
---@field comparison oxtint.pool_comparison[] finish factors, shared Q, separate
---@field steels oxtint.steel[] one for each group
---@field warnings string[] a sentence each
local pool = {}

---A report to read at the bench.
---@param unit? oxtint.unit "C" when left out
---@return string
function pool:report(unit) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function pool:to_json() end

---Free the pool now; it may be called again. Steels taken out of it live on.
function pool:close() end

---Fit all steels and finishes of a log together.
---@param log oxtint.trials
---@param options? oxtint.pool_options
---@return oxtint.pool? pool
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.pool(log, options) end

-- ---- steels and dips ----

---One steel with one finish. It never changes.
---One thing that was done to a card after it was made.
---@class oxtint.steel_change
---@field what string what was done and found
---@field label string the caller's own, such as a date
---@field k_ref_before_nm2_per_s number
---@field k_ref_after_nm2_per_s number
---@field trial_count integer coupons that it was done with
---@field origin string where the numbers before came from

---@class oxtint.anchor_options
---@field shift_stderr? number how far ln k may have moved, a standard deviation; 0.3
---@field thickness_uncertainty? number relative standard error of a measured thickness; 0.02
---@field colour_tolerance? number CIEDE2000 by which a measured colour may be wrong; 3
---@field label? string kept with the entry, such as a date
---@field film? oxtint.film film that colours are read with

---@class oxtint.steel
---@field recorded oxtint.recorded_dip[] dips by the card that were recorded, the oldest first
---@field history oxtint.steel_change[] what was done to the card after it was made, the oldest first
---@field cautions oxtint.caution[] about the baths that its trials were run in
---@field steel string name of the steel
---@field finish string name of the finish, may be ""
---@field growth oxtint.growth
---@field k_ref_nm2_per_s number rate at T_ref_K
---@field T_ref_K number
---@field Q_J_per_mol number activation energy
---@field variance_ln_k number
---@field covariance_J_per_mol number covariance of ln k_ref and Q
---@field variance_Q_J2_per_mol2 number
---@field scatter number standard deviation of ln thickness from one dip to the next
---@field day_sd number standard deviation of ln thickness from one day to the next; 0: not known
---@field ln_shape_stderr number standard error of ln of the law's shape; 0: given, or none
---@field initial_stderr_nm2 number nm^2, standard error of the exposure that the film before every dip stands for
---@field dof number degrees of freedom behind the variances
---@field scatter_dof number degrees of freedom behind the scatter; 0: those of the variances
---@field time_exponent number m of x growing as time^m, by the trials alone; 0: not known
---@field time_exponent_stderr number
---@field middle_nm number film about which the law bends
---@field bath_low_K number coldest bath of the trials
---@field bath_high_K number hottest bath of the trials
---@field thickness_low_nm number thinnest film of the trials
---@field thickness_high_nm number thickest film of the trials
---@field trial_count integer number of trials used
---@field description string film that the trials were read with
---@field origin string where the numbers come from, in words
---@field basis string what the constants stand for: "steel" itself, where the trials stated their coupons, or the "coupons", whose heating-up and lift are inside them
---@field coupon_shape oxtint.shape of the usual coupon, which predictions take as their part unless told otherwise
---@field coupon_size_m number 0: none, at bath temperature at once
---@field coupon_start_K number before the dip; 0: 293.15
---@field coupon_transfer_W_per_m2K number of the bath; 0: 600
---@field coupon_lift_s number from leaving the bath to the quench
---@field coupon_size_low_m number smallest and
---@field coupon_size_high_m number largest of the coupons
---@field coupon_lift_low_s number shortest and
---@field coupon_lift_high_s number longest lift of the coupons
---@field change_count integer things that were done to the card after it was made, as many as `history` has
---@field record_count integer dips by the card that were recorded, as many as `recorded` has
---@field coupon_text string how the coupons were run, in words; "not stated"
---@field words? oxtint.words the shop's own words that the card keeps: those of the log that it was fitted to, or else of the film
---@field film oxtint.film that targets are read with, and named by, where no other is given: the one as tabulated, in the card's words
local steel = {}

---The same steel with other words, or with none; all else the same.
---@param words? oxtint.words
---@return oxtint.steel? reworded
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:with_words(words) end

---Time at bath temperature that grows as much as a coupon's own time did: what a chart shows it at.
---@param log oxtint.trials
---@param place integer of the coupon in the log, from 1
---@return number? equivalent_s
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:equivalent_time(log, place) end

---Save the steel as a card that loads back number for number.
---@param path string
---@param options? oxtint.save_options
---@return true? saved
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:save(path, options) end

---The text of the card (JSON), which oxtint.steel_from_card reads back number for number.
---@return string text
function steel:to_card() end

---This steel brought up to date by new coupons, such as in new salt. Only k_ref and its errors move.
---@param log oxtint.trials
---@param options? oxtint.anchor_options
---@return oxtint.steel? renewed
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:anchor(log, options) end

---This steel with a dip recorded: what it promised, and what came out.
---@param dip oxtint.dip what was promised by this steel
---@param seen string what came out: a trade name, "bright" among them, "57 nm" or "#2b3a67"
---@param options? oxtint.record_options
---@return oxtint.steel? recorded
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:record(dip, seen, options) end

---What came of the recorded dips beside what was promised.
---@param options? oxtint.track_record_options
---@return oxtint.record? record
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:track_record(options) end

---Predict the dip for a target in a bath.
---@param wanted oxtint.wanted
---@param bath oxtint.bath
---@param options? oxtint.dip_options
---@return oxtint.dip? dip
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:dip(wanted, bath, options) end

---Bath temperature at which a target comes in a given time, and the cautions of that dip.
---@param wanted oxtint.wanted
---@param time oxtint.time
---@param options? oxtint.dip_options
---@return number? bath_K
---@return oxtint.caution[]|string? cautions the message when it fails
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:bath_for(wanted, time, options) end

---The dip, and with it the bath, that gives a target in a given time.
---@param wanted oxtint.wanted
---@param time oxtint.time
---@param options? oxtint.dip_options
---@param unit? oxtint.unit scale of its report; that of a temper or a wander told as a text, or else C
---@return oxtint.dip? dip
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:dip_for_time(wanted, time, options, unit) end

---The dip that has the best chance of hitting a target, among the baths allowed. State the wander of
---bath and clock: without it only the fit and the scatter count.
---@param wanted oxtint.wanted
---@param options? oxtint.forgiving_options
---@return oxtint.dip? dip
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:most_forgiving(wanted, options) end

---Baths compared: the dip in each of several, and the most forgiving of them.
---@param wanted oxtint.wanted
---@param options? oxtint.forgiving_options
---@return oxtint.baths? baths
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:baths(wanted, options) end

---The next coupons that help most.
---@param options? oxtint.advise_options
---@return oxtint.advice? advice
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:advise(options) end

---What a chart shows, as numbers: bath temperature across, time up. The colours of its films are steel:thickness of a
---grid of baths and times, then film:srgb; the edge of a band is steel:time_for of its thickness over the baths.
---@param options? oxtint.chart_options
---@return oxtint.chart? chart
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart(options) end

---A chart as the text of an SVG file.
---@param options? oxtint.chart_options
---@param unit? oxtint.unit scale of temperatures; "F"
---@return string? svg
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart_svg(options, unit) end

---How far the time of a dip may be off: when to lift (s) by each replicate of a bootstrap, NaN where there is none.
---@param bootstrap oxtint.bootstrap of the fit of this steel
---@param target oxtint.wanted
---@param bath oxtint.bath
---@param options? oxtint.dip_options
---@return number[]? times_s
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart_spread(bootstrap, target, bath, options) end

---What one more coupon would leave of the interval of a dip, as a share of the one now: a row for each stretch between
---two times, with a number for each bath; NaN where it gives no information.
---@param baths oxtint.bath[]
---@param times oxtint.time[] rising edges, equivalent times at bath temperature
---@param options? oxtint.map_options
---@return number[][]? ratios
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart_map(baths, times, options) end

---What stands on a sheet for the wall: a dip for each target and bath, and the sentences beside them.
---@param options? oxtint.sheet_options
---@return oxtint.sheet? sheet
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart_sheet(options) end

---A sheet for the wall as the text of an SVG file.
---@param options? oxtint.sheet_options
---@return string? svg
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:chart_sheet_svg(options) end

---Thickness on bare steel after a time in a bath. A list gives a list; one value goes with every
---element of the other list.
---@param bath oxtint.bath|oxtint.bath[]
---@param time oxtint.time|oxtint.time[]
---@return number|number[]|nil thickness_nm
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:thickness(bath, time) end

---Time at one temperature that grows a thickness on bare steel; lists as with thickness.
---@param thickness number|string|(number|string)[] nm, or a text such as "57 nm"
---@param bath oxtint.bath|oxtint.bath[]
---@return number|number[]|nil time_s
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function steel:time_for(thickness, bath) end

---Free the steel now; it may be called again.
function steel:close() end

---Load a steel from its card.
---@param path string
---@return oxtint.steel? steel
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.load_steel(path) end

---A steel from the text of its card.
---@param text string
---@return oxtint.steel? steel
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.steel_from_card(text) end

---What a steel may be made of: the fields of oxtint.steel. What is left out is 0 or "".
---@class oxtint.steel_from_values
---@field steel string
---@field finish? string
---@field k_ref_nm2_per_s number above 0
---@field T_ref_K number
---@field Q_J_per_mol? number 0: a rate alike in all baths
---@field variance_ln_k? number
---@field covariance_J_per_mol? number
---@field variance_Q_J2_per_mol2? number
---@field scatter? number of one dip: standard deviation of ln x
---@field day_sd? number standard deviation of ln x from one day to the next
---@field law? "parabolic"|"power"|"linear-parabolic"|"logarithmic" by which the film grows; "parabolic"
---@field law_shape? number of the law: n, A in nm or L in nm
---@field law_middle_nm? number film that grows as by the parabolic law
---@field ln_shape_stderr? number standard error of ln of the law's shape
---@field initial_nm? number film that every part has before a dip, which then needs law_middle_nm too; 0: bare steel
---@field initial_stderr_nm2? number nm^2, standard error of the exposure that it stands for
---@field dof number degrees of freedom behind the variances, above 0
---@field scatter_dof? number degrees of freedom behind the scatter; those of the variances
---@field time_exponent? number m of x growing as time^m
---@field time_exponent_stderr? number
---@field middle_nm? number film about which the law bends
---@field bath_low_K number coldest bath of the trials
---@field bath_high_K number
---@field thickness_low_nm number thinnest film of the trials
---@field thickness_high_nm number
---@field trial_count? integer
---@field description? string film that the trials were read with
---@field origin? string where the numbers come from
---@field basis? "coupons"|"steel"
---@field coupon_shape? oxtint.shape
---@field coupon_size_m? number
---@field coupon_start_K? number
---@field coupon_transfer_W_per_m2K? number
---@field coupon_lift_s? number
---@field coupon_size_low_m? number
---@field coupon_size_high_m? number
---@field coupon_lift_low_s? number
---@field coupon_lift_high_s? number

---A steel from known values, from another source than a fit.
---@param values oxtint.steel_from_values
---@return oxtint.steel? steel
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.steel_from_values(values) end

---A steel of which nothing has been tried, from oxtint.mild_steel_prior alone, to dip a first coupon by.
---@param name string of the steel
---@param finish? string name of the finish
---@param choice? oxtint.film_choice
---@return oxtint.steel? steel
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.starting_steel(name, finish, choice) end

---@class oxtint.dip_options
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_wander_K? number|string standard deviation of the bath beyond that of the trials; 0
---@field time_wander_s? number|string standard deviation of the lift beyond that of the trials; 0
---@field film? oxtint.film film that the target is read with
---@field part? oxtint.part|number|string what goes in, or the thickness of a plate of steel, m or a text such as "6 mm"; like the coupons when left out, at bath temperature at once when its size is 0
---@field lift? oxtint.lift|oxtint.time its way to the quench, or the delay alone, s or a text such as "4 s"; as the coupons'
---@field coupon? oxtint.part|number|string what the trials were run with, for a card that does not state it; at bath temperature at once
---@field coupon_lift? oxtint.lift|oxtint.time its way to the quench; quenched at once
---@field initial? oxtint.wanted film already there: a thickness, or a colour as a target
---@field salt_bath? oxtint.salt_bath its thermometer, wander and salt; as the trials'
---@field load_kg? number kg, all such parts that go in together, and cool a salt_bath of limited salt
---@field last_temper? any[] of a hardened part, temperature and time, such as { "400 F", "2 h" }
---@field free_exponent? boolean intervals that do not rely on the parabolic law; false
---@field reader_sd? number standard deviation of ln thickness by which who judges it may see colours elsewhere than who read the trials, 0 to 1; 0: the same eyes

---@class oxtint.forgiving_options
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_wander_K? number|string standard deviation of the bath beyond that of the trials; 0
---@field time_wander_s? number|string standard deviation of the lift beyond that of the trials; 0
---@field film? oxtint.film film that the target is read with
---@field part? oxtint.part|number|string what goes in, or the thickness of a plate of steel, m or a text such as "6 mm"; like the coupons when left out, at bath temperature at once when its size is 0
---@field lift? oxtint.lift|oxtint.time its way to the quench, or the delay alone, s or a text such as "4 s"; as the coupons'
---@field coupon? oxtint.part|number|string what the trials were run with, for a card that does not state it; at bath temperature at once
---@field coupon_lift? oxtint.lift|oxtint.time its way to the quench; quenched at once
---@field initial? oxtint.wanted film already there: a thickness, or a colour as a target
---@field salt_bath? oxtint.salt_bath its thermometer, wander and salt; as the trials'
---@field load_kg? number kg, all such parts that go in together, and cool a salt_bath of limited salt
---@field last_temper? any[] of a hardened part, temperature and time, such as { "400 F", "2 h" }
---@field free_exponent? boolean intervals that do not rely on the parabolic law; false
---@field reader_sd? number standard deviation of ln thickness by which who judges it may see colours elsewhere than who read the trials, 0 to 1; 0: the same eyes
---@field low? oxtint.bath coldest bath allowed, also the scale of texts; 500 F
---@field high? oxtint.bath hottest bath allowed; 700 F
---@field longest? oxtint.time longest dip allowed; 1 h
---@field rows? number baths in a table, 2 to 200; 9

---@class oxtint.interval
---@field low number s
---@field high number s

---@class oxtint.caution
---@field name string such as "SOFTENS"
---@field text string what it says to the person at the bench, whole
---@field brief string the same in short, a lead word first
---@field kind "forbids"|"case"|"bath" forbids the dip, is particular to it, or true of every bath
---@field source string where it comes from

---A predicted dip. Times count from entering the bath, as those of the trials do.
---@class oxtint.dip
---@field bath_K number
---@field target oxtint.target what was asked for
---@field time_s number when to lift
---@field earliest_s number from here on the part shows the target
---@field latest_s number from here on it no longer does
---@field confidence number of the intervals
---@field interval_low_s number
---@field interval_high_s number
---@field next_low_s number
---@field next_high_s number
---@field interval_s oxtint.interval where the mean aim time lies (error of the fit)
---@field next_interval_s oxtint.interval where the next dip reaches the aim (with its scatter)
---@field chance number 0 to 1: that the next dip, lifted at time_s, shows the target
---@field lag_s number heating-up time included in time_s; 0 without a part
---@field law_time_s number when to lift by the exponent of the trials' own growth; time_s where the card does not know it
---@field sag_K number by which the load cools the bath at most, included in time_s; 0 without a load
---@field coupon_time_s number after which a coupon of the trials, lifted in the same bath, has the same film from bare steel; 0 where the constants of the card stand for the steel itself
---@field lift_growth_nm number that grow between the lift and the quench; 0 without a lift
---@field crust_s number until salt that froze on the part has melted; 0: none freezes
---@field preheat_saves_s number by which the lift comes sooner if the part is warmed to the melting point first
---@field initial_nm number film that was already there
---@field quench_nm number film in the quench; above the aim only where time_s is 0 and the lift alone grows more
---@field part_size_m number of the part that was included; 0: at bath temperature at once
---@field part_shape oxtint.shape
---@field lift_s number from leaving the bath to the quench
---@field part_source string "named", "coupon" (that of the coupons), or "inside" (like the coupons, whose own is inside the constants)
---@field lift_source string likewise
---@field part_text string which part and lift it is for, in words
---@field cautions oxtint.caution[]
local dip = {}

---The dip as a report to read at the bench, with its cautions.
---@param unit? oxtint.unit the scale that the bath was written in when left out
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string
function dip:report(unit, cautions) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function dip:to_json() end

---Free the dip now; it may be called again.
function dip:close() end

---One part of a set.
---@class oxtint.plan_part
---@field name? string what it is called at the bench
---@field steel oxtint.steel its steel; parts of one card share the error of its fit
---@field target oxtint.wanted what is wanted of it
---@field film? oxtint.film film that the target is read with
---@field part? oxtint.part|number|string what goes in, or the thickness of a plate of steel, m or a text such as "6 mm"; like the coupons when left out, at bath temperature at once when its size is 0
---@field lift? oxtint.lift|oxtint.time its way to the quench, or the delay alone, s or a text such as "4 s"; as the coupons'
---@field coupon? oxtint.part|number|string what the trials were run with, for a card that does not state it; at bath temperature at once
---@field coupon_lift? oxtint.lift|oxtint.time its way to the quench; quenched at once
---@field initial? oxtint.wanted film already there: a thickness, or a colour as a target
---@field salt_bath? oxtint.salt_bath its thermometer, wander and salt; as the trials'
---@field load_kg? number kg, all such parts that go in together, and cool a salt_bath of limited salt
---@field last_temper? any[] of a hardened part, temperature and time, such as { "400 F", "2 h" }
---@field free_exponent? boolean intervals that do not rely on the parabolic law; false
---@field reader_sd? number standard deviation of ln thickness by which who judges it may see colours elsewhere than who read the trials, 0 to 1; 0: the same eyes

---@class oxtint.new_set
---@field parts oxtint.plan_part[]
---@field bath oxtint.bath
---@field spacing? oxtint.time least time between two lifts; 10
---@field tolerance? number CIEDE2000 up to which two parts count as alike; 5
---@field bath_wander_K? number|string standard deviation of the bath, for all parts alike; 0
---@field time_wander_s? number|string standard deviation of each lift; 0
---@field draws? number random sets to simulate, 100 to 1000000; 4000
---@field random_seed? number the same one draws the same sets; 1
---@field progress? fun(done: number): any called now and then with the share done; true asks to stop

---One part in the order of the work.
---@class oxtint.plan_step
---@field part integer place in the list as it was given
---@field name string
---@field enter_s number when it enters the bath, the first at 0
---@field lift_s number when it is lifted
---@field dip oxtint.dip its dip, wander included

---Baths compared for one target: a list of dips, coldest bath first.
---@class oxtint.baths
---@field [integer] oxtint.dip
---@field best oxtint.dip the most forgiving one
---@operator len: integer
local baths = {}

---The comparison as a table to read at the bench, with the cautions of all dips.
---@param unit? oxtint.unit
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string text
function baths:report(unit, cautions) end

---Free the comparison now; it may be called again.
function baths:close() end

---A planned set of parts.
---@class oxtint.set
---@field count integer
---@field bath_K number
---@field tolerance number
---@field aim_mismatch number largest CIEDE2000 between two parts if every part hits its aim
---@field mean_mismatch number expected mismatch, the mean of the sets that were simulated
---@field high_mismatch number not exceeded in 95 % of sets
---@field chance_match number 0 to 1: that no two parts differ by more than the tolerance
---@field chance_targets number 0 to 1: that every part shows its target
---@field last_lift_s number from entering the first part to lifting the last
---@field sag_K number by which all loads together cool the bath at most; 0 where no load and bath are stated
---@field steps oxtint.plan_step[] in the order of entering and of lifting
---@field cautions oxtint.caution[] of all dips together
local set = {}

---The set as a report to read at the bench.
---@param unit? oxtint.unit
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string text
function set:report(unit, cautions) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function set:to_json() end

---Free the set now; it may be called again.
function set:close() end

---What a chart shows, beside the colours.
---@class oxtint.chart_options
---@field trials? oxtint.trials log whose coupons of the steel and its finish are marked
---@field dip? oxtint.dip dip of this steel to mark, without a coupon or a film already there
---@field film? oxtint.film film that colours are computed with
---@field bath_low? oxtint.bath coldest bath; that of trials and dip, and 15 K more
---@field bath_high? oxtint.bath hottest bath, likewise
---@field time_low? oxtint.time shortest time; 0.6 of that of trials and dip
---@field time_high? oxtint.time longest time; 1.7 of that of trials and dip

---A band of trade colour in a chart.
---@class oxtint.chart_band
---@field index integer as in oxtint.tint
---@field leaves_below boolean it leaves the chart below before the hottest bath
---@field label string its name, as in oxtint.tint
---@field low_nm number where it begins
---@field high_nm number where it ends
---@field label_s number where its name belongs at the hottest bath, in the middle of what is in view there
---@field srgb number[] 0 to 1, colour of its middle film

---A coupon on a chart.
---@class oxtint.chart_mark
---@field trial integer its place in the log
---@field bath_K number
---@field equivalent_s number as steel:equivalent_time
---@field seen_nm number film that was seen; NaN for an sRGB colour
---@field srgb number[] 0 to 1, the colour that was seen
---@field label string its trade name, where the chart has another colour there; ""

---The frame of a chart, and what stands on it.
---@class oxtint.chart
---@field bath_low_K number
---@field bath_high_K number
---@field time_low_s number
---@field time_high_s number
---@field earliest_s number equivalent times of the dip: from here on its colour shows; NaN without a dip
---@field aim_s number its lift
---@field latest_s number from here on it no longer shows
---@field band_count integer
---@field mark_count integer
---@field cautions oxtint.caution[] of the dip, or else of the steel's baths
---@field tick_count integer
---@field ticks_s number[] times at which a clock would be read
---@field name string steel and finish in words
---@field time_label string what its times are, in words
---@field bands oxtint.chart_band[] the thinnest first
---@field marks oxtint.chart_mark[] in the order of the log

---What may be chosen about a map.
---@class oxtint.map_options
---@field target? oxtint.wanted what the dip is to show
---@field bath? oxtint.bath bath of that dip; the middle of the baths
---@field highest_order? integer 2: colours of the second order count too; 1
---@field film? oxtint.film film that the colours will be read with

---What stands on a sheet for the wall, and what its dips are told.
---@class oxtint.sheet_options
---@field baths? oxtint.bath[] up to 4; the coldest, middle and hottest of the trials, rounded
---@field targets? oxtint.wanted[] up to 10; straw to light blue
---@field unit? oxtint.unit scale of temperatures; "F"
---@field paper? "A4"|"letter" of the picture; "A4"
---@field date? string of the picture; none
---@field confidence? number of the intervals, 0.5 to 0.9999; 0.95
---@field bath_wander_K? number|string standard deviation of the bath beyond that of the trials; 0
---@field time_wander_s? number|string standard deviation of the lift beyond that of the trials; 0
---@field film? oxtint.film film that the target is read with
---@field part? oxtint.part|number|string what goes in, or the thickness of a plate of steel, m or a text such as "6 mm"; like the coupons when left out, at bath temperature at once when its size is 0
---@field lift? oxtint.lift|oxtint.time its way to the quench, or the delay alone, s or a text such as "4 s"; as the coupons'
---@field coupon? oxtint.part|number|string what the trials were run with, for a card that does not state it; at bath temperature at once
---@field coupon_lift? oxtint.lift|oxtint.time its way to the quench; quenched at once
---@field initial? oxtint.wanted film already there: a thickness, or a colour as a target
---@field salt_bath? oxtint.salt_bath its thermometer, wander and salt; as the trials'
---@field load_kg? number kg, all such parts that go in together, and cool a salt_bath of limited salt
---@field last_temper? any[] of a hardened part, temperature and time, such as { "400 F", "2 h" }
---@field free_exponent? boolean intervals that do not rely on the parabolic law; false
---@field reader_sd? number standard deviation of ln thickness by which who judges it may see colours elsewhere than who read the trials, 0 to 1; 0: the same eyes

---A sheet for the wall.
---@class oxtint.sheet
---@field bath_count integer
---@field target_count integer
---@field outside_count integer dips beyond what the trials cover
---@field missing_count integer empty cells: dips that cannot be given, such as where the coupon named is still cold
---@field cautions oxtint.caution[] of all dips
---@field name string steel and finish in words
---@field path_text string part, coupons and salt in words
---@field film_text string film of the colours in words
---@field coverage string what the trials cover
---@field dips oxtint.dip[][] for each target those of each bath

---What may be chosen about the advice.
---@class oxtint.advise_options
---@field target? oxtint.wanted what the dip that the coupons are for is to show
---@field bath? oxtint.bath its bath, also the scale of texts; the middle of the range
---@field low? oxtint.bath coldest bath allowed; 500 F
---@field high? oxtint.bath hottest bath allowed; 700 F
---@field shortest? oxtint.time shortest time that can be kept well; 15 s
---@field longest? oxtint.time longest time allowed; 1 h
---@field count? integer coupons wanted, 1 to 4; 3
---@field criterion? "dip"|"constants"|"law" for the time of one dip, for k_ref and Q together, or to tell laws of growth apart; "dip"
---@field highest_order? integer 2: colours of the second order count too; 1
---@field film? oxtint.film film that the colours will be read with

---One advised coupon.
---@class oxtint.coupon
---@field bath_K number
---@field time_s number whole seconds
---@field label string band that is to be expected
---@field thickness_nm number film that is to be expected
---@field chance number 0 to 1: that its colour is usable
---@field half_width number 95 % half-width of ln time of the dip after this coupon and those before, which three refits in four do not exceed
---@field interval_ratio number the half-width to be expected over the one now
---@field exponent_stderr number for the law of growth, standard error of m of x growing as time^m to be expected then; else 0
---@field count integer coupons that were advised in all
---@field cautions oxtint.caution[]

---The next coupons that help most.
---@class oxtint.advice
---@field coupons oxtint.coupon[] the one that helps most comes first
local advice = {}

---The advice as a report to read at the bench.
---@param unit? oxtint.unit the scale that the bath was written in when left out
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string text
function advice:report(unit, cautions) end

---The same as JSON, for machines: fields by their names in C, null for what is not finite.
---@return string text
function advice:to_json() end

---Free the advice now; it may be called again.
function advice:close() end

---What may be chosen about a drift.
---@class oxtint.drift_options
---@field false_alarm? number chance that a stable log is called, 0.001 to 0.1; 0.01
---@field confidence? number of the limits, 0.5 to 0.9999; 0.95

---Whether a log has drifted, and by how much.
---@class oxtint.drift
---@field called boolean
---@field coupon_count integer coupons that the fit used
---@field since integer first coupon after the change, of a trend the first of all: place in the log, from 1; only when called
---@field line integer its line of the file, 0 when there was none
---@field after_count integer coupons used from there on
---@field rate_factor number rate after over rate before, of a trend that of the last day over that of the first; 1 when not called
---@field rate_factor_low number NaN when not called
---@field rate_factor_high number NaN when not called
---@field anchor_factor number what to multiply the fit's k_ref by, Q kept, to have the rate after, of a trend on the last day
---@field confidence number of the limits
---@field statistic number largest |t| of a step; NaN with too few coupons
---@field limit number from which on it is called; NaN with too few coupons
---@field cautions oxtint.caution[] about the baths of the log
---@field trend boolean whether what is called is a trend over the days, and not a step
---@field day_count integer days of those coupons, 0 when the log states none
---@field rate_factor_per_day number of a trend, rate of a day over that of the day before; else 1
---@field trend_statistic number |t| of the trend; NaN with fewer than 5 days
---@field trend_limit number from which on a trend is called; NaN with fewer than 5 days
local drift = {}

---The drift in one sentence, and the cautions.
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string text
function drift:report(cautions) end

---Free the drift now; it may be called again.
function drift:close() end

---Plan a set of parts to one colour in one bath: a dip each, and an order of work in which neither two
---lifts nor two entries are closer than the spacing. An argument at fault is named by its place.
---@param what oxtint.new_set
---@return oxtint.set? set
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.plan_set(what) end

---One dip of several predictions, of which each may be the right one, such as by cards of several laws of
---growth. Its limits are the wider the farther the predictions differ; it has the cautions of all, but OTHER_LAW.
---@param dips oxtint.dip[] 1 to 64, for one target in one bath at one confidence, each with time_s above 0
---@param weights number[] 0 to 1e300, how likely each is; only their ratios count. For laws: their weight
---@return oxtint.dip? dip
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.dip_average(dips, weights) end

-- ---- logged temperatures, and tempers ----

---One sample of a history.
---@class oxtint.sample
---@field time_s number
---@field temperature_K number

---A logged temperature, linear between its samples. It never changes; history[i] is a sample.
---@class oxtint.history
---@field [integer] oxtint.sample
---@field time_s number[]
---@field temperature_K number[]
---@operator len: integer
local history = {}

---Temperature at a time between the first sample and the last.
---@param time oxtint.time
---@return number? temperature_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function history:temperature(time) end

---Exposure of a stretch, nm^2; its root is the film on bare steel.
---@param steel oxtint.steel
---@param from? oxtint.time the first sample when left out
---@param to? oxtint.time the last sample when left out
---@return number? exposure_nm2
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function history:exposure(steel, from, to) end

---Thickness after the whole history, on a film that is there already.
---@param steel oxtint.steel
---@param initial_nm? number 0 when left out
---@return number? thickness_nm
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function history:thickness(steel, initial_nm) end

---The heat transfer of a bath, found from a thermocouple in a part.
---@class oxtint.transfer
---@field transfer_W_per_m2K number of a still bath at the part's transfer_at_K
---@field transfer_stderr_W_per_m2K number its standard error, as if the errors of the samples were independent
---@field exponent number by which it falls with the difference in a still bath; 0 of a stirred one
---@field exponent_stderr number its standard error; 0 of a stirred one
---@field enter_s number when the part entered, by the clock of the history
---@field rms_K number root of the mean square of what is left
---@field used integer samples that were used

---The heat transfer of a bath, from the thermocouple of a part that was dipped into it, by least squares.
---@param part oxtint.part whose flow says whether the exponent of a still bath is sought too
---@param bath oxtint.temperature steady
---@param thermocouple? "centre"|"surface" where it is; "centre"
---@return oxtint.transfer? transfer
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function history:find_transfer(part, bath, thermocouple) end

---What the whole history does to a hardened part.
---@param options? oxtint.temper_options
---@return oxtint.temper? temper
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function history:temper(options) end

---Free the history now; it may be called again.
function history:close() end

---@class oxtint.new_history
---@field time_s number[] each later than the one before
---@field temperature_K number[]|number 200 to 1300; one for all, or one for each time
---@field longest_gap_s? number|string longest time between two samples; no limit when left out or 0

---A history from lists of numbers.
---@param what oxtint.new_history
---@return oxtint.history? history
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.history(what) end

---Read a history from a CSV file: all of it, or all of its faults.
---@param path string
---@param longest_gap_s? number|string longest time between two samples; no limit when left out or 0
---@return oxtint.history? history
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_history(path, longest_gap_s) end

---The same from the text of such a file.
---@param text string
---@param longest_gap_s? number|string
---@return oxtint.history? history
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.read_history_text(text, longest_gap_s) end

---What is known of the part that would be dipped.
---@class oxtint.temper_options
---@field steel? string AISI/SAE number whose hardness is tabulated, such as "1095"
---@field last? any[] temperature and time of its last temper, such as { "400 F", "2 h" }
---@field constant? number C of the parameter, 5 to 30; 20

---What a dip or a history does to a hardened part.
---@class oxtint.temper
---@field parameter number T (C + log10 t), T in K and t in h, of the dip or history alone
---@field one_hour_K number temperature at which one hour has this parameter
---@field last_parameter number of the part's last temper; NaN when it is not stated
---@field total_parameter number of the last temper and the dip together
---@field hardness_before_HRC number NaN where no table covers it
---@field hardness_after_HRC number NaN where no table covers it
---@field softens? boolean whether parameter is above last_parameter; nil when that is not known
---@field below_floor boolean it counts as less than 10 s at its hottest
---@field cautions oxtint.caution[]
local temper = {}

---The temper as a report to read at the bench: first whether it softens.
---@param unit? oxtint.unit the scale that the bath was written in when left out
---@param cautions? "brief"|"whole" how much of each caution; "brief"
---@return string
function temper:report(unit, cautions) end

---Free the temper now; it may be called again.
function temper:close() end

---What a stay in a bath does to a hardened part.
---@param bath oxtint.bath
---@param time oxtint.time
---@param options? oxtint.temper_options
---@return oxtint.temper? temper
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.temper_dip(bath, time, options) end

---T (C + log10 t) of a stay at one temperature, T in K and t in h.
---@param temperature oxtint.bath
---@param time oxtint.time
---@param constant? number 20 when left out
---@return number? parameter
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.temper_parameter(temperature, time, constant) end

---Temperature that gives a parameter in a time.
---@param parameter number
---@param time oxtint.time
---@param constant? number 20 when left out
---@return number? temperature_K
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.temper_temperature(parameter, time, constant) end

---Time that gives a parameter at a temperature.
---@param parameter number
---@param temperature oxtint.bath
---@param constant? number 20 when left out
---@return number? time_s
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.temper_time(parameter, temperature, constant) end

---Hardness (Rockwell C) of a quenched and tempered steel within its table.
---@param steel "1030"|"1040"|"1050"|"1060"|"1080"|"1095"
---@param parameter number
---@return number? hardness_HRC
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.temper_hardness(steel, parameter) end

-- ---- a dip as it happens ----

---@class oxtint.new_tracker
---@field steel oxtint.steel
---@field target oxtint.wanted
---@field film? oxtint.film film that is seen, and that the target is read with
---@field part? oxtint.part|number|string when the samples are of the bath; of size 0: of the part itself; left out: like the coupon, or the usual one of a card that states it, where the bath is given, else of the part itself
---@field bath? oxtint.bath the bath that is meant; needed with a part
---@field lift? oxtint.lift|oxtint.time when left out the coupon_lift, or as the coupons of a card that states them, else quenched at once
---@field initial_nm? number film already there, as thick as that with which the trials began at least; 0: none but that
---@field coupon? oxtint.part|number|string what the trials were run with, as for a dip; needs the bath
---@field coupon_lift? oxtint.lift|oxtint.time its way to the quench; quenched at once
---@field salt_bath? oxtint.salt_bath its thermometer's offset is added, its salt determines the cautions
---@field longest_gap? oxtint.time a longer gap between samples is reported; 5
---@field confidence? number of the limits of the lift, 0.5 to 0.9999; 0.95
---@field time_wander_s? oxtint.time standard deviation of the lift beyond that of the trials; 0

---State of a dip at the last sample.
---@class oxtint.track_state
---@field time_s number since the first sample
---@field bath_K number the last sample; NaN before the first
---@field surface_K number of the part; NaN before the first sample
---@field exposure_nm2 number so far
---@field thickness_nm number now
---@field quench_nm number in the quench, when it is lifted now
---@field tint_index integer? band of thickness_nm, from 1; nil beyond the second order
---@field state string "growing" (too thin), "showing", or "past": polish it off and start again
---@field label string trade name of thickness_nm, "" beyond the second order
---@field lab number[] of thickness_nm; NaN beyond 400 nm
---@field srgb number[] the same
---@field to_lift_s number from the last sample until a lift gives the aim; 0 when it would now, math.huge when it never would
---@field to_earliest_s number the same for the thinnest film that shows the target
---@field to_latest_s number the same for the thickest
---@field sample_count integer samples taken
---@field refused_count integer samples refused
---@field gap_count integer gaps longer than the longest allowed
---@field bridged_s number time inside those gaps
---@field cautions oxtint.caution[]
---@field chance_now number 0 to 1, of the wanted colour if it is lifted now; NaN before the first sample
---@field chance number 0 to 1, the same at the best moment, to_lift_s from now
---@field to_lift_low_s number lift-time uncertainty of this dip, with its scatter
---@field to_lift_high_s number

---One dip, fed with temperatures as they are measured; the first sample is when the part enters the
---bath.
---@class oxtint.tracker
local tracker = {}

---Take one sample. One that is refused is counted and changes nothing.
---@param time oxtint.time of any clock, after that of the last sample
---@param temperature oxtint.bath of the bath, or of the part itself when the tracker has none
---@return true? taken
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function tracker:feed(time, temperature) end

---How the dip stands, and when to lift if the bath stays as it is.
---@return oxtint.track_state
function tracker:read() end

---Begin a new dip of the same part for the same target.
function tracker:restart() end

---The dip so far as text (JSON), from which `resume` goes on in a program that was restarted.
---@return string text
function tracker:snapshot() end

---Go on with the dip of a snapshot, taken by a tracker made from the same steel, target and options. What passed
---since is a gap, which the next sample bridges; its clock must go on too.
---@param text string
---@return true? resumed
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function tracker:resume(text) end

---Free the tracker now; it may be called again.
function tracker:close() end

---@param what oxtint.new_tracker
---@return oxtint.tracker? tracker
---@return string? message
---@return oxtint.code? code
---@return oxtint.failure? details
function oxtint.tracker(what) end

return oxtint
