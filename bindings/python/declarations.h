/* Made from include/oxtint.h by bindings/generate.py; do not edit. */
typedef enum oxt_status {
OXT_OK = 0, OXT_EARG = -1, OXT_EDOMAIN = -2, OXT_EUNIT = -3, OXT_EPARSE = -4, OXT_EFEW = -5, OXT_EIDENT = -6, OXT_ENOCONV = -7, OXT_EUNREACHABLE = -8, OXT_EVERSION = -9, OXT_EIO = -10, OXT_ENOMEM = -11, OXT_ESPACE = -12, OXT_EBUG = -13, OXT_ECANCEL = -14, OXT_EEXIST = -15,
} oxt_status;
typedef int (*oxt_progress_function)(double done, void *user);
typedef enum oxt_caution_kind {
OXT_CAUTION_KIND_FORBIDS = 0,
OXT_CAUTION_KIND_CASE = 1,
OXT_CAUTION_KIND_BATH = 2
} oxt_caution_kind;
typedef enum oxt_caution {
OXT_CAUTION_HARDENED = 1048576, OXT_CAUTION_ABOVE_LEGAL = 32, OXT_CAUTION_ABOVE_WORKING = 16, OXT_CAUTION_BELOW_MELTING = 8, OXT_CAUTION_FREEZING = 4194304, OXT_CAUTION_CRUST = 268435456, OXT_CAUTION_ABOVE_MODEL = 4096, OXT_CAUTION_BROKEN_PROMISES = 536870912, OXT_CAUTION_LOOSE_FIT = 2048, OXT_CAUTION_OTHER_LAW = 134217728, OXT_CAUTION_SHORT_WINDOW = 1024, OXT_CAUTION_EXTRAPOLATED_BATH = 64, OXT_CAUTION_EXTRAPOLATED_FILM = 128, OXT_CAUTION_SAG = 524288, OXT_CAUTION_OTHER_ORDER = 256, OXT_CAUTION_OTHER_OPTICS = 512, OXT_CAUTION_AT_TEMPERATURE = 4, OXT_CAUTION_COUPONS_UNKNOWN = 33554432, OXT_CAUTION_UNEVEN = 67108864, OXT_CAUTION_SOFTENS = 2, OXT_CAUTION_MOLTEN_SALT = 1, OXT_CAUTION_WATER = 8192, OXT_CAUTION_ORGANICS = 16384, OXT_CAUTION_CYANIDES = 32768, OXT_CAUTION_LIGHT_METALS = 65536, OXT_CAUTION_NITRITE = 2097152, OXT_CAUTION_VENTILATION = 131072, OXT_CAUTION_POT = 8388608, OXT_CAUTION_HOT_RINSE = 262144, OXT_CAUTION_DATA_SHEET = 16777216,
} oxt_caution;
typedef struct oxt_caution_info {
uint32_t bit;
oxt_caution_kind kind;
const char *name;
const char *brief;
const char *text;
const char *source;
} oxt_caution_info;
typedef enum oxt_caution_detail {
OXT_CAUTION_BRIEF = 0,
OXT_CAUTION_WHOLE = 1
} oxt_caution_detail;
typedef struct oxt_error {
size_t struct_size;
oxt_status status;
char parameter[48];
double value;
double low;
double high;
size_t row;
char column[48];
char text[512];
char pattern[512];
} oxt_error;
typedef struct oxt_given {
const char *parameter;
const char *name;
const char *typed;
} oxt_given;
void oxt_error_retell(oxt_error *error, const oxt_given *given, size_t count);
const char *oxt_status_name(int status);
const oxt_caution_info *oxt_caution_get(uint32_t cautions);
oxt_status oxt_caution_report(uint32_t cautions, oxt_caution_detail detail, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
const char *oxt_version(void);
typedef struct oxt_fault {
size_t struct_size;
size_t line;
char column[48];
char found[64];
char expected[256];
size_t row;
} oxt_fault;
typedef struct oxt_faults oxt_faults;
size_t oxt_faults_count(const oxt_faults *faults);
oxt_status oxt_faults_get(const oxt_faults *faults, size_t index, oxt_fault *fault,
oxt_error *error);
oxt_status oxt_faults_report(const oxt_faults *faults, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
void oxt_faults_free(oxt_faults *faults);
typedef enum oxt_file_kind {
OXT_FILE_CARD = 0,
OXT_FILE_TRIALS = 1,
OXT_FILE_PICTURE = 2,
OXT_FILE_PAGE = 3
} oxt_file_kind;
typedef enum oxt_replace {
OXT_REPLACE_SAME_KIND = 0,
OXT_REPLACE_ANY = 1
} oxt_replace;
oxt_status oxt_file_check(const char *path, oxt_file_kind kind, oxt_replace replace,
oxt_error *error);
oxt_status oxt_file_write(const char *path, oxt_file_kind kind, oxt_replace replace,
const void *data, size_t length, oxt_error *error);
typedef enum oxt_temperature_unit {
OXT_UNIT_KELVIN = 0,
OXT_UNIT_CELSIUS = 1,
OXT_UNIT_FAHRENHEIT = 2
} oxt_temperature_unit;
typedef enum oxt_length_unit { OXT_UNIT_MILLIMETRE = 0, OXT_UNIT_INCH = 1 } oxt_length_unit;
oxt_status oxt_parse_temperature(const char *text, double *temperature_K, oxt_error *error);
oxt_status oxt_parse_temperature_difference(const char *text, double *difference_K,
oxt_error *error);
oxt_status oxt_parse_duration(const char *text, double *time_s, oxt_error *error);
oxt_status oxt_parse_length(const char *text, double *length_m, oxt_error *error);
oxt_status oxt_format_temperature(double temperature_K, oxt_temperature_unit unit,
char *buffer, size_t capacity, size_t *needed,
oxt_error *error);
oxt_status oxt_format_duration(double time_s, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_format_length(double length_m, oxt_length_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
typedef enum oxt_law {
OXT_LAW_PARABOLIC = 0,
OXT_LAW_POWER = 1,
OXT_LAW_LINEAR_PARABOLIC = 2,
OXT_LAW_LOGARITHMIC = 3
} oxt_law;
typedef struct oxt_growth {
size_t struct_size;
oxt_law law;
double k_ref_nm2_per_s;
double T_ref_K;
double Q_J_per_mol;
double shape;
double middle_nm;
double initial_nm;
} oxt_growth;
oxt_status oxt_rate(const oxt_growth *growth, double temperature_K, double *rate_nm2_per_s,
oxt_error *error);
oxt_status oxt_thickness_of_exposure(const oxt_growth *growth, double initial_nm,
double exposure_nm2, double *thickness_nm,
oxt_error *error);
oxt_status oxt_thickness(const oxt_growth *growth, double bath_K, double time_s,
double *thickness_nm, oxt_error *error);
oxt_status oxt_time_for_thickness(const oxt_growth *growth, double thickness_nm,
double bath_K, double *time_s, oxt_error *error);
oxt_status oxt_thickness_n(const oxt_growth *growth, size_t n, const double *bath_K,
ptrdiff_t bath_stride, const double *time_s,
ptrdiff_t time_stride, double *thickness_nm,
size_t *failed, oxt_error *error);
oxt_status oxt_time_for_thickness_n(const oxt_growth *growth, size_t n,
const double *thickness_nm, ptrdiff_t thickness_stride,
const double *bath_K, ptrdiff_t bath_stride,
double *time_s, size_t *failed,
oxt_error *error);
typedef enum oxt_gamut {
OXT_GAMUT_CLIP = 0,
OXT_GAMUT_KEEP_HUE = 1
} oxt_gamut;
oxt_status oxt_lab_from_xyz(const double xyz[3], const double white_xyz[3], double lab[3],
oxt_error *error);
oxt_status oxt_xyz_from_lab(const double lab[3], const double white_xyz[3], double xyz[3],
oxt_error *error);
oxt_status oxt_srgb_from_xyz(const double xyz[3], oxt_gamut gamut, double srgb[3],
int *out_of_gamut, oxt_error *error);
oxt_status oxt_xyz_from_srgb(const double srgb[3], double xyz[3], oxt_error *error);
oxt_status oxt_parse_srgb(const char *text, double srgb[3], oxt_error *error);
oxt_status oxt_format_srgb(const double srgb[3], char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_delta_e2000(size_t n, const double *lab1, ptrdiff_t lab1_stride,
const double *lab2, ptrdiff_t lab2_stride, double *difference,
size_t *failed, oxt_error *error);
typedef struct oxt_history oxt_history;
oxt_status oxt_history_new(oxt_history **history, size_t n, const double *time_s,
ptrdiff_t time_stride, const double *temperature_K,
ptrdiff_t temperature_stride, double longest_gap_s,
oxt_error *error);
oxt_status oxt_history_read_csv(oxt_history **history, const char *path, const char *text,
size_t length, double longest_gap_s, oxt_faults **faults,
oxt_error *error);
void oxt_history_free(oxt_history *history);
oxt_status oxt_history_samples(const oxt_history *history, size_t capacity, double *time_s,
ptrdiff_t time_stride, double *temperature_K,
ptrdiff_t temperature_stride, size_t *count,
oxt_error *error);
oxt_status oxt_history_temperature(const oxt_history *history, double time_s,
double *temperature_K, oxt_error *error);
oxt_status oxt_history_exposure(const oxt_history *history, const oxt_growth *growth,
double from_s, double to_s, double *exposure_nm2,
oxt_error *error);
typedef enum oxt_shape {
OXT_SHAPE_PLATE = 0,
OXT_SHAPE_CYLINDER = 1,
OXT_SHAPE_SPHERE = 2,
OXT_SHAPE_ANY = 3
} oxt_shape;
typedef enum oxt_metal {
OXT_METAL_STEEL = 0,
OXT_METAL_BRASS = 1,
OXT_METAL_BRONZE = 2,
OXT_METAL_NICKEL_SILVER = 3
} oxt_metal;
typedef enum oxt_flow {
OXT_FLOW_STIRRED = 0,
OXT_FLOW_STILL = 1
} oxt_flow;
typedef struct oxt_part {
size_t struct_size;
oxt_shape shape;
double size_m;
double start_K;
double transfer_W_per_m2K;
double density_kg_per_m3;
double heat_J_per_kgK;
double conductivity_W_per_mK;
oxt_metal metal;
oxt_flow flow;
double transfer_at_K;
double transfer_exponent;
double wetted;
} oxt_part;
typedef struct oxt_warming {
size_t struct_size;
int lumped;
double biot;
double tau_s;
double heat_J_per_kgK;
double conductivity_W_per_mK;
double conduction_length_m;
} oxt_warming;
typedef enum oxt_thermocouple {
OXT_THERMOCOUPLE_CENTRE = 0,
OXT_THERMOCOUPLE_SURFACE = 1
} oxt_thermocouple;
typedef struct oxt_transfer {
size_t struct_size;
double transfer_W_per_m2K;
double transfer_stderr_W_per_m2K;
double exponent;
double exponent_stderr;
double enter_s;
double rms_K;
size_t used;
} oxt_transfer;
typedef struct oxt_lift {
size_t struct_size;
double delay_s;
double air_K;
double convection_W_per_m2K;
double emissivity;
} oxt_lift;
oxt_status oxt_heat_warming(const oxt_part *part, double bath_K, oxt_warming *warming,
oxt_error *error);
oxt_status oxt_heat_surface_temperature(const oxt_part *part, double bath_K, double time_s,
double *temperature_K, oxt_error *error);
oxt_status oxt_heat_find_transfer(const oxt_part *part, double bath_K,
const oxt_history *history, oxt_thermocouple place,
oxt_transfer *found, oxt_error *error);
oxt_status oxt_heat_time_for_exposure(const oxt_growth *growth, const oxt_part *part,
double bath_K, double exposure_nm2, double *time_s,
double *lag_s, oxt_error *error);
oxt_status oxt_heat_lift_exposure(const oxt_growth *growth, const oxt_part *part,
const oxt_lift *lift, double from_K, double *exposure_nm2,
double *quench_K, oxt_error *error);
typedef enum oxt_salt {
OXT_SALT_UNSTATED = 0,
OXT_SALT_BINARY_60_40 = 1,
OXT_SALT_BINARY_EUTECTIC = 2,
OXT_SALT_TERNARY = 3
} oxt_salt;
typedef struct oxt_salt_values {
size_t struct_size;
double melting_low_K;
double melting_high_K;
double working_low_K;
double working_high_K;
double legal_high_K;
double density_kg_per_m3;
double heat_J_per_kgK;
char name[48];
char source[192];
double viscosity_Pa_s;
double conductivity_W_per_mK;
double expansion_per_K;
} oxt_salt_values;
typedef struct oxt_bath {
size_t struct_size;
oxt_salt salt;
double thermometer_offset_K;
double thermometer_sd_K;
double wander_K;
double salt_kg;
double heater_W;
} oxt_bath;
typedef struct oxt_sag {
size_t struct_size;
double lowest_K;
double lowest_s;
double sag_K;
double recovery_s;
double heat_J;
uint32_t cautions;
} oxt_sag;
typedef struct oxt_crust {
size_t struct_size;
double melting_K;
double melted_s;
double thickest_m;
} oxt_crust;
typedef enum oxt_surface {
OXT_SURFACE_UPRIGHT = 0,
OXT_SURFACE_LYING = 1,
OXT_SURFACE_SPHERE = 2
} oxt_surface;
typedef struct oxt_convection {
size_t struct_size;
double transfer_W_per_m2K;
double exponent;
double film_K;
double rayleigh;
double prandtl;
double nusselt;
} oxt_convection;
oxt_status oxt_bath_salt(oxt_salt salt, double temperature_K, oxt_salt_values *values,
oxt_error *error);
oxt_status oxt_bath_read(const oxt_bath *bath, double reading_K, double *true_K,
uint32_t *cautions, oxt_error *error);
oxt_status oxt_bath_sag(const oxt_bath *bath, const oxt_part *part, double load_kg,
double bath_K, oxt_sag *sag, oxt_error *error);
oxt_status oxt_bath_exposure(const oxt_growth *growth, const oxt_bath *bath,
const oxt_part *part, double load_kg, double bath_K,
double time_s, double *exposure_nm2, oxt_error *error);
oxt_status oxt_bath_crust(const oxt_bath *bath, const oxt_part *part, double bath_K,
oxt_crust *crust, oxt_error *error);
oxt_status oxt_bath_convection(const oxt_bath *bath, oxt_surface surface, double size_m,
double bath_K, double difference_K,
oxt_convection *convection, oxt_error *error);
typedef enum oxt_illuminant {
OXT_ILLUMINANT_D65 = 0,
OXT_ILLUMINANT_D50 = 1,
OXT_ILLUMINANT_A = 2,
OXT_ILLUMINANT_FL2 = 3,
OXT_ILLUMINANT_FL11 = 4,
OXT_ILLUMINANT_LED_B3 = 5,
OXT_ILLUMINANT_LED_V1 = 6
} oxt_illuminant;
typedef enum oxt_observer {
OXT_OBSERVER_1931_2_DEGREE = 0,
OXT_OBSERVER_1964_10_DEGREE = 1
} oxt_observer;
oxt_status oxt_light_white(oxt_illuminant illuminant, oxt_observer observer,
double white_xyz[3], oxt_error *error);
oxt_status oxt_light_adapt(const double xyz[3], const double from_xyz[3],
const double to_xyz[3], double adapted_xyz[3], oxt_error *error);
typedef struct oxt_material oxt_material;
oxt_status oxt_material_new(oxt_material **material, const char *name, size_t count,
const double *wavelength_nm, const double *n, const double *k,
oxt_error *error);
void oxt_material_free(oxt_material *material);
oxt_status oxt_material_index(const oxt_material *material, double wavelength_nm, double *n,
double *k, oxt_error *error);
typedef struct oxt_word {
size_t struct_size;
char word[32];
int index;
double low_nm;
double high_nm;
size_t line;
} oxt_word;
typedef struct oxt_words oxt_words;
oxt_status oxt_words_read_csv(oxt_words **words, const char *path, const char *text,
size_t length, oxt_faults **faults, oxt_error *error);
oxt_status oxt_words_get(const oxt_words *words, size_t index, oxt_word *word,
oxt_error *error);
void oxt_words_free(oxt_words *words);
typedef enum oxt_polarisation {
OXT_POLARISATION_NONE = 0,
OXT_POLARISATION_S = 1,
OXT_POLARISATION_P = 2
} oxt_polarisation;
typedef enum oxt_finish { OXT_FINISH_MIRROR = 0, OXT_FINISH_SATIN = 1, OXT_FINISH_MATTE = 2 } oxt_finish;
typedef struct oxt_film oxt_film;
typedef struct oxt_film_options {
size_t struct_size;
double absorption_scale;
size_t layer_count;
const oxt_material *const *layers;
const double *shares;
const oxt_material *substrate;
double angle_deg;
oxt_polarisation polarisation;
double thickness_spread;
double angle_spread_deg;
double coat_index;
oxt_illuminant illuminant;
oxt_observer observer;
const oxt_words *words;
} oxt_film_options;
typedef struct oxt_match {
size_t struct_size;
double thickness_nm;
double low_nm;
double high_nm;
double uncertainty_nm;
double difference;
int order;
} oxt_match;
typedef enum oxt_match_verdict {
OXT_MATCH_UNIQUE = 0,
OXT_MATCH_AMBIGUOUS = 1,
OXT_MATCH_OFF_PATH = 2
} oxt_match_verdict;
typedef struct oxt_match_options {
size_t struct_size;
double tolerance;
double reach;
double lightness_factor;
double chroma_factor;
} oxt_match_options;
typedef enum oxt_colour_space {
OXT_SPACE_XYZ = 0,
OXT_SPACE_LAB = 1,
OXT_SPACE_SRGB = 2,
OXT_SPACE_PATH_XYZ = 3,
OXT_SPACE_PATH_LAB = 4,
OXT_SPACE_PATH_SRGB = 5
} oxt_colour_space;
oxt_status oxt_film_finish(oxt_finish grade, double *thickness_spread,
double *angle_spread_deg, oxt_error *error);
oxt_status oxt_film_new(oxt_film **film, const oxt_film_options *options, oxt_error *error);
void oxt_film_free(oxt_film *film);
oxt_status oxt_film_description(const oxt_film *film, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_film_reflectance(const oxt_film *film, double thickness_nm, size_t n,
const double *wavelength_nm, double *reflectance,
oxt_error *error);
oxt_status oxt_film_colour(const oxt_film *film, oxt_colour_space space,
double thickness_nm, double colour[3], int *out_of_gamut,
oxt_error *error);
oxt_status oxt_film_colours(const oxt_film *film, oxt_colour_space space, size_t n,
const double *thickness_nm, ptrdiff_t thickness_stride,
double *colours, int *out_of_gamut, size_t *failed,
oxt_error *error);
oxt_status oxt_film_difference(const oxt_film *film, const oxt_film *other,
double thickness_nm, double *difference, oxt_error *error);
oxt_status oxt_film_match(const oxt_film *film, const double lab[3],
const oxt_match_options *options, size_t capacity,
oxt_match *matches, size_t *count, oxt_match_verdict *verdict,
oxt_error *error);
typedef struct oxt_tint {
size_t struct_size;
int index;
int order;
int other_index;
char name[16];
char label[32];
double low_nm;
double high_nm;
double centre_nm;
} oxt_tint;
typedef struct oxt_target {
size_t struct_size;
double aim_nm;
double low_nm;
double high_nm;
double other_nm;
int order;
char text[48];
char description[128];
} oxt_target;
oxt_status oxt_tint_band(const oxt_film *film, int index, oxt_tint *tint, oxt_error *error);
oxt_status oxt_tint_at(const oxt_film *film, double thickness_nm, oxt_tint *tint,
oxt_error *error);
oxt_status oxt_tint_find(const oxt_film *film, const char *text, oxt_tint *tint,
oxt_error *error);
oxt_status oxt_tint_target(const oxt_film *film, const char *text, oxt_target *target,
oxt_error *error);
oxt_status oxt_tint_target_of_thickness(double thickness_nm, double low_nm, double high_nm,
oxt_target *target, oxt_error *error);
oxt_status oxt_tint_target_of_lab(const oxt_film *film, const double lab[3], double tolerance,
int order, oxt_target *target, oxt_error *error);
typedef enum oxt_seen {
OXT_SEEN_COLOUR = 0,
OXT_SEEN_THICKNESS = 1,
OXT_SEEN_LAB = 2,
OXT_SEEN_SRGB = 3
} oxt_seen;
typedef enum oxt_lifted {
OXT_LIFTED_NOT_STATED = 0,
OXT_LIFTED_FIRST = 1,
OXT_LIFTED_MIDDLE = 2,
OXT_LIFTED_LAST = 3,
OXT_LIFTED_AFTER = 4
} oxt_lifted;
typedef struct oxt_trial {
size_t struct_size;
char steel[64];
char finish[64];
double bath_K;
double time_s;
oxt_seen seen;
char colour[48];
double thickness_nm;
double lab[3];
char srgb[8];
size_t line;
double part_size_m;
oxt_shape part_shape;
double part_start_K;
double transfer_W_per_m2K;
double lift_s;
double bath_sd_K;
double time_sd_s;
double thickness_sd_nm;
double colour_tolerance;
char day[32];
oxt_lifted lifted;
} oxt_trial;
typedef struct oxt_trial_group {
size_t struct_size;
char steel[64];
char finish[64];
size_t count;
size_t group_count;
} oxt_trial_group;
typedef enum oxt_column_kind {
OXT_COLUMN_DOUBLE = 0,
OXT_COLUMN_FLOAT = 1,
OXT_COLUMN_INT8 = 2,
OXT_COLUMN_INT16 = 3,
OXT_COLUMN_INT32 = 4,
OXT_COLUMN_INT64 = 5,
OXT_COLUMN_UINT8 = 6,
OXT_COLUMN_UINT16 = 7,
OXT_COLUMN_UINT32 = 8,
OXT_COLUMN_UINT64 = 9,
OXT_COLUMN_TEXT = 10
} oxt_column_kind;
typedef struct oxt_column {
size_t struct_size;
const char *name;
const void *values;
ptrdiff_t stride;
const char *const *levels;
size_t level_count;
const unsigned char *missing;
ptrdiff_t missing_stride;
oxt_column_kind kind;
} oxt_column;
typedef struct oxt_trials oxt_trials;
oxt_status oxt_trials_new(oxt_trials **trials, const oxt_words *words, oxt_error *error);
void oxt_trials_free(oxt_trials *trials);
oxt_status oxt_trials_add(oxt_trials *trials, const oxt_trial *trial, const char *note,
oxt_error *error);
oxt_status oxt_trials_add_columns(oxt_trials *trials, size_t row_count,
const oxt_column *const *columns, size_t column_count,
oxt_faults **faults, oxt_error *error);
oxt_status oxt_trials_numbers(const oxt_trials *trials, const char *name, size_t count,
double *values, ptrdiff_t stride, oxt_error *error);
oxt_status oxt_trials_codes(const oxt_trials *trials, const char *name, size_t count,
int32_t *codes, ptrdiff_t stride, oxt_error *error);
oxt_status oxt_trials_text(const oxt_trials *trials, const char *name, size_t index,
char *buffer, size_t capacity, size_t *needed, oxt_error *error);
oxt_temperature_unit oxt_trials_unit(const oxt_trials *trials);
oxt_status oxt_trials_set_unit(oxt_trials *trials, oxt_temperature_unit unit,
oxt_error *error);
oxt_status oxt_trials_set_coupon(oxt_trials *trials, const oxt_part *part,
const oxt_lift *lift, oxt_error *error);
oxt_status oxt_trials_csv_separator(char *separator, const char *text, size_t length,
const char *const *columns, size_t column_count,
oxt_faults **faults, oxt_error *error);
oxt_status oxt_trials_read_csv(oxt_trials **trials, const char *path, const char *text,
size_t length, const oxt_words *words, oxt_faults **faults,
oxt_error *error);
oxt_status oxt_trials_write_csv(const oxt_trials *trials, const char *path,
oxt_replace replace, oxt_error *error);
oxt_status oxt_trials_write_csv_text(const oxt_trials *trials, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
size_t oxt_trials_count(const oxt_trials *trials);
oxt_status oxt_trials_get(const oxt_trials *trials, size_t index, oxt_trial *trial,
oxt_error *error);
oxt_status oxt_trials_group(const oxt_trials *trials, size_t index, oxt_trial_group *group,
oxt_error *error);
typedef enum oxt_basis {
OXT_BASIS_COUPONS = 0,
OXT_BASIS_STEEL = 1
} oxt_basis;
typedef struct oxt_steel_values {
size_t struct_size;
char steel[64];
char finish[64];
oxt_growth growth;
double variance_ln_k;
double covariance_J_per_mol;
double variance_Q_J2_per_mol2;
double scatter;
double dof;
double bath_low_K;
double bath_high_K;
double thickness_low_nm;
double thickness_high_nm;
size_t trial_count;
char description[128];
char origin[128];
oxt_basis basis;
oxt_shape coupon_shape;
double coupon_size_m;
double coupon_start_K;
double coupon_transfer_W_per_m2K;
double coupon_lift_s;
double coupon_size_low_m;
double coupon_size_high_m;
double coupon_lift_low_s;
double coupon_lift_high_s;
size_t change_count;
uint32_t cautions;
size_t record_count;
double scatter_dof;
double time_exponent;
double time_exponent_stderr;
double middle_nm;
double day_sd;
double ln_shape_stderr;
double initial_stderr_nm2;
} oxt_steel_values;
typedef struct oxt_steel_change {
size_t struct_size;
char what[192];
char label[64];
double k_ref_before_nm2_per_s;
double k_ref_after_nm2_per_s;
size_t trial_count;
char origin[128];
} oxt_steel_change;
typedef struct oxt_recorded_dip {
size_t struct_size;
double bath_K;
double time_s;
double low_nm;
double high_nm;
double chance;
int hit;
double k_ref_nm2_per_s;
oxt_shape part_shape;
double part_size_m;
double lift_s;
char target[48];
char seen[64];
char label[64];
double coupon_time_s;
} oxt_recorded_dip;
typedef struct oxt_steel oxt_steel;
oxt_status oxt_steel_new(oxt_steel **steel, const oxt_steel_values *values,
oxt_error *error);
void oxt_steel_free(oxt_steel *steel);
oxt_status oxt_steel_get(const oxt_steel *steel, oxt_steel_values *values,
oxt_error *error);
oxt_status oxt_steel_coupon_text(const oxt_steel *steel, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_steel_words(const oxt_steel *steel, oxt_words **words, oxt_error *error);
oxt_status oxt_steel_with_words(oxt_steel **reworded, const oxt_steel *steel,
const oxt_words *words, oxt_error *error);
oxt_status oxt_steel_history(const oxt_steel *steel, size_t index, oxt_steel_change *entry,
oxt_error *error);
oxt_status oxt_steel_recorded_dip(const oxt_steel *steel, size_t index, oxt_recorded_dip *dip,
oxt_error *error);
oxt_status oxt_steel_load(oxt_steel **steel, const char *path, const char *text,
size_t length, oxt_error *error);
oxt_status oxt_steel_save(const oxt_steel *steel, const char *path, oxt_replace replace,
oxt_error *error);
oxt_status oxt_steel_save_text(const oxt_steel *steel, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_prior {
size_t struct_size;
double temperature_K;
double ln_k;
double ln_k_stderr;
double Q_J_per_mol;
double Q_stderr_J_per_mol;
} oxt_prior;
oxt_status oxt_prior_mild_steel(oxt_prior *prior, const oxt_film *film, oxt_error *error);
oxt_status oxt_prior_steel(oxt_steel **steel, const char *name, const char *finish,
const oxt_film *film, oxt_error *error);
typedef enum oxt_errors_in_variables {
OXT_ERRORS_EFFECTIVE_VARIANCE = 0,
OXT_ERRORS_ORTHOGONAL = 1
} oxt_errors_in_variables;
typedef enum oxt_robust {
OXT_ROBUST_NONE = 0,
OXT_ROBUST_HUBER = 1,
OXT_ROBUST_TUKEY = 2
} oxt_robust;
typedef enum oxt_names {
OXT_NAMES_AS_BANDS = 0,
OXT_NAMES_AS_MIDDLES = 1
} oxt_names;
typedef enum oxt_rounding {
OXT_ROUNDING_NEAREST = 0,
OXT_ROUNDING_CUT = 1,
OXT_ROUNDING_NONE = 2
} oxt_rounding;
typedef struct oxt_fit_options {
size_t struct_size;
const char *steel;
const char *finish;
double Q_J_per_mol;
double Q_stderr_J_per_mol;
double scatter;
double thickness_uncertainty;
double colour_tolerance;
double confidence;
double bath_sd_K;
double time_sd_s;
oxt_errors_in_variables errors_in_variables;
oxt_robust robust;
const oxt_prior *prior;
oxt_names names;
oxt_progress_function progress;
void *user;
oxt_lifted lifted;
oxt_rounding rounding;
double reader_sd;
oxt_law law;
double law_shape;
double ln_shape_sd;
double law_middle_nm;
int with_initial;
} oxt_fit_options;
typedef struct oxt_fit_values {
size_t struct_size;
oxt_growth growth;
double ln_k_stderr;
double Q_stderr_J_per_mol;
double variance_ln_k;
double covariance_J_per_mol;
double variance_Q_J2_per_mol2;
double correlation;
double confidence;
double k_ref_low_nm2_per_s;
double k_ref_high_nm2_per_s;
double Q_low_J_per_mol;
double Q_high_J_per_mol;
double scatter;
double chi_square;
double dof;
double reduced_chi_square;
double r_squared;
double aicc;
double condition;
size_t row_count;
size_t used_count;
int Q_held;
double prior_share_Q;
double prior_share_ln_k;
size_t warning_count;
double scatter_dof;
double time_exponent;
double time_exponent_stderr;
double middle_nm;
size_t day_count;
double day_sd;
double reader_offset;
double reader_offset_stderr;
double ln_shape_stderr;
double initial_stderr_nm2;
oxt_temperature_unit unit;
} oxt_fit_values;
typedef struct oxt_fit_row {
size_t struct_size;
size_t trial;
size_t line;
int used;
int order;
double low_nm;
double high_nm;
double observed_nm;
double predicted_nm;
double residual;
double sigma;
double studentized;
double leverage;
char reason[64];
double weight;
double cooks_distance;
double dip_change;
double equivalent_s;
} oxt_fit_row;
typedef struct oxt_fit oxt_fit;
oxt_status oxt_fit_run(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
const oxt_fit_options *options, oxt_error *error);
void oxt_fit_free(oxt_fit *fit);
oxt_status oxt_fit_get(const oxt_fit *fit, oxt_fit_values *values, oxt_error *error);
oxt_status oxt_fit_get_row(const oxt_fit *fit, size_t index, oxt_fit_row *row,
oxt_error *error);
oxt_status oxt_fit_warning(const oxt_fit *fit, size_t index, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_fit_report(const oxt_fit *fit, oxt_temperature_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_fit_steel(const oxt_fit *fit, oxt_steel **steel, oxt_error *error);
oxt_status oxt_fit_json(const oxt_fit *fit, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_fit_each_options {
size_t struct_size;
const oxt_fit_options *fit;
oxt_progress_function progress;
void *user;
int threads;
int best_law;
} oxt_fit_each_options;
typedef struct oxt_fit_each_group {
size_t struct_size;
char steel[64];
char finish[64];
size_t trial_count;
oxt_status status;
} oxt_fit_each_group;
typedef struct oxt_fit_each oxt_fit_each;
oxt_status oxt_fit_each_run(oxt_fit_each **fits, const oxt_trials *trials, const oxt_film *film,
const oxt_fit_each_options *options, oxt_error *error);
void oxt_fit_each_free(oxt_fit_each *fits);
size_t oxt_fit_each_count(const oxt_fit_each *fits, size_t *failed);
oxt_status oxt_fit_each_get(const oxt_fit_each *fits, size_t index, oxt_fit_each_group *group,
oxt_fit_values *values, oxt_error *error);
oxt_status oxt_fit_each_remarks(const oxt_fit_each *fits, size_t index, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_fit_each_report(const oxt_fit_each *fits, oxt_temperature_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_check_log(oxt_faults **remarks, const oxt_trials *trials,
const oxt_film *film, oxt_temperature_unit unit,
oxt_error *error);
typedef enum oxt_pool_model {
OXT_POOL_SHARED_Q = 0,
OXT_POOL_FINISH_FACTORS = 1,
OXT_POOL_SEPARATE = 2,
OXT_POOL_BEST = 3
} oxt_pool_model;
typedef struct oxt_pool_options {
size_t struct_size;
oxt_pool_model model;
int shrink;
double between_sd;
double scatter;
double thickness_uncertainty;
double colour_tolerance;
double confidence;
double bath_sd_K;
double time_sd_s;
oxt_robust robust;
oxt_names names;
const oxt_prior *prior;
oxt_progress_function progress;
void *user;
double between_Q_sd_J_per_mol;
oxt_lifted lifted;
oxt_rounding rounding;
oxt_law law;
double law_shape;
double ln_shape_sd;
double law_middle_nm;
} oxt_pool_options;
typedef struct oxt_pool_values {
size_t struct_size;
oxt_pool_model model;
int shrunk;
double T_ref_K;
double Q_J_per_mol;
double Q_stderr_J_per_mol;
double Q_low_J_per_mol;
double Q_high_J_per_mol;
double confidence;
double scatter;
double dof;
double chi_square;
double aicc;
double between_sd;
size_t parameter_count;
size_t group_count;
size_t row_count;
size_t used_count;
size_t warning_count;
double scatter_dof;
double between_Q_sd_J_per_mol;
double day_sd;
oxt_law law;
double law_shape;
double law_middle_nm;
double ln_shape_stderr;
oxt_temperature_unit unit;
} oxt_pool_values;
typedef struct oxt_pool_group {
size_t struct_size;
char steel[64];
char finish[64];
oxt_growth growth;
double ln_k_stderr;
double Q_stderr_J_per_mol;
double variance_ln_k;
double covariance_J_per_mol;
double variance_Q_J2_per_mol2;
double k_ref_low_nm2_per_s;
double k_ref_high_nm2_per_s;
double Q_low_J_per_mol;
double Q_high_J_per_mol;
double finish_factor;
double shrunk_by;
size_t row_count;
size_t used_count;
} oxt_pool_group;
typedef struct oxt_pool_comparison {
size_t struct_size;
oxt_pool_model model;
int fitted;
size_t parameter_count;
double chi_square;
double aicc;
double F;
double dof1;
double dof2;
double p_value;
} oxt_pool_comparison;
typedef struct oxt_pool oxt_pool;
oxt_status oxt_pool_run(oxt_pool **pool, const oxt_trials *trials, const oxt_film *film,
const oxt_pool_options *options, oxt_error *error);
void oxt_pool_free(oxt_pool *pool);
oxt_status oxt_pool_get(const oxt_pool *pool, oxt_pool_values *values, oxt_error *error);
oxt_status oxt_pool_get_group(const oxt_pool *pool, size_t index, oxt_pool_group *group,
oxt_error *error);
oxt_status oxt_pool_get_comparison(const oxt_pool *pool, oxt_pool_model model,
oxt_pool_comparison *comparison, oxt_error *error);
oxt_status oxt_pool_warning(const oxt_pool *pool, size_t index, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_pool_report(const oxt_pool *pool, oxt_temperature_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_pool_steel(const oxt_pool *pool, size_t index, oxt_steel **steel,
oxt_error *error);
oxt_status oxt_pool_json(const oxt_pool *pool, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef enum oxt_laws_verdict {
OXT_VERDICT_HOLDS = 0,
OXT_VERDICT_OPEN = 1,
OXT_VERDICT_CONTRADICTED = 2
} oxt_laws_verdict;
typedef struct oxt_laws_options {
size_t struct_size;
int with_initial;
double confidence;
oxt_progress_function progress;
void *user;
} oxt_laws_options;
typedef struct oxt_law_result {
size_t struct_size;
oxt_law kind;
int converged;
size_t parameters;
double k_ref;
double ln_k_stderr;
double Q_J_per_mol;
double Q_stderr_J_per_mol;
double shape;
double shape_stderr;
double shape_low;
double shape_high;
int shape_at_limit;
double initial_nm;
int initial_at_zero;
double chi_square;
double dof;
double aicc;
double aicc_difference;
double weight;
double lack_of_fit_F;
double lack_of_fit_p;
} oxt_law_result;
typedef struct oxt_laws_values {
size_t struct_size;
oxt_laws_verdict verdict;
oxt_law best;
oxt_law rival;
double exponent;
double exponent_low;
double exponent_high;
double F;
double F_dof;
double p;
double T_ref_K;
double middle_nm;
double thinnest_nm;
double thickest_nm;
double time_ratio_half;
double time_ratio_twice;
double confidence;
size_t row_count;
size_t replicate_count;
int Q_held;
char sentence[400];
oxt_temperature_unit unit;
} oxt_laws_values;
typedef struct oxt_laws oxt_laws;
oxt_status oxt_laws_run(oxt_laws **laws, const oxt_fit *fit, const oxt_laws_options *options,
oxt_error *error);
oxt_status oxt_laws_fit(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
const oxt_fit_options *options, oxt_error *error);
void oxt_laws_free(oxt_laws *laws);
oxt_status oxt_laws_get(const oxt_laws *laws, oxt_laws_values *values, oxt_error *error);
oxt_status oxt_laws_get_law(const oxt_laws *laws, oxt_law kind, oxt_law_result *result,
oxt_error *error);
oxt_status oxt_laws_report(const oxt_laws *laws, oxt_temperature_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_laws_json(const oxt_laws *laws, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef enum oxt_interval_quantity {
OXT_INTERVAL_LN_K = 0,
OXT_INTERVAL_Q = 1,
OXT_INTERVAL_DIP_TIME = 2,
OXT_INTERVAL_SHAPE = 3
} oxt_interval_quantity;
typedef enum oxt_interval_scale {
OXT_INTERVAL_SCALE_STATED = 0,
OXT_INTERVAL_SCALE_REDUCED = 1
} oxt_interval_scale;
typedef struct oxt_interval_options {
size_t struct_size;
double confidence;
oxt_interval_scale scale;
oxt_progress_function progress;
void *user;
} oxt_interval_options;
typedef enum oxt_bootstrap_kind {
OXT_BOOTSTRAP_PAIRS = 0,
OXT_BOOTSTRAP_RESIDUAL = 1
} oxt_bootstrap_kind;
typedef enum oxt_bootstrap_method {
OXT_BOOTSTRAP_PERCENTILE = 0,
OXT_BOOTSTRAP_BIAS_CORRECTED = 1
} oxt_bootstrap_method;
typedef struct oxt_bootstrap_options {
size_t struct_size;
size_t replicates;
oxt_bootstrap_kind kind;
uint64_t random_seed;
int threads;
oxt_progress_function progress;
void *user;
} oxt_bootstrap_options;
typedef struct oxt_bootstrap_values {
size_t struct_size;
size_t replicates;
size_t failed;
double T_ref_K;
double ln_k;
double Q_J_per_mol;
double mean_ln_k;
double mean_Q_J_per_mol;
double sd_ln_k;
double sd_Q_J_per_mol;
double correlation;
oxt_law law;
double law_shape;
double law_middle_nm;
double mean_ln_shape;
double sd_ln_shape;
oxt_temperature_unit unit;
} oxt_bootstrap_values;
typedef struct oxt_bootstrap oxt_bootstrap;
oxt_status oxt_interval_profile(const oxt_fit *fit, oxt_interval_quantity what, double bath_K,
const oxt_interval_options *options, double *low, double *high,
oxt_error *error);
oxt_status oxt_bootstrap_run(oxt_bootstrap **bootstrap, const oxt_fit *fit,
const oxt_bootstrap_options *options, oxt_error *error);
void oxt_bootstrap_free(oxt_bootstrap *bootstrap);
oxt_status oxt_bootstrap_get(const oxt_bootstrap *bootstrap, oxt_bootstrap_values *values,
size_t capacity, double *ln_k, double *Q_J_per_mol,
double *law_shape, oxt_error *error);
oxt_status oxt_bootstrap_interval(const oxt_bootstrap *bootstrap, oxt_interval_quantity what,
double bath_K, double thickness_nm, double confidence,
oxt_bootstrap_method method, double *low, double *high,
oxt_error *error);
oxt_status oxt_bootstrap_report(const oxt_bootstrap *bootstrap, oxt_temperature_unit unit,
char *buffer, size_t capacity, size_t *needed,
oxt_error *error);
typedef struct oxt_anchor_options {
size_t struct_size;
double shift_stderr;
double thickness_uncertainty;
double colour_tolerance;
const char *label;
} oxt_anchor_options;
oxt_status oxt_anchor_steel(oxt_steel **renewed, const oxt_steel *steel,
const oxt_trials *trials, const oxt_film *film,
const oxt_anchor_options *options, oxt_error *error);
typedef struct oxt_temper_options {
size_t struct_size;
double constant;
const char *steel;
double last_K;
double last_s;
} oxt_temper_options;
typedef struct oxt_temper {
size_t struct_size;
double parameter;
double one_hour_K;
double last_parameter;
double total_parameter;
double hardness_before_HRC;
double hardness_after_HRC;
int softens;
int below_floor;
uint32_t cautions;
} oxt_temper;
oxt_status oxt_temper_parameter(double temperature_K, double time_s, double constant,
double *parameter, oxt_error *error);
oxt_status oxt_temper_temperature(double parameter, double time_s, double constant,
double *temperature_K, oxt_error *error);
oxt_status oxt_temper_time(double parameter, double temperature_K, double constant,
double *time_s, oxt_error *error);
oxt_status oxt_temper_hardness(const char *steel, double parameter, double *hardness_HRC,
oxt_error *error);
oxt_status oxt_temper_dip(double bath_K, double time_s, const oxt_temper_options *options,
oxt_temper *temper, oxt_error *error);
oxt_status oxt_temper_history(const oxt_history *history,
const oxt_temper_options *options, oxt_temper *temper,
oxt_error *error);
oxt_status oxt_temper_report(const oxt_temper *temper, oxt_temperature_unit unit,
oxt_caution_detail detail, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_dip_options {
size_t struct_size;
double confidence;
double bath_wander_K;
double time_wander_s;
const oxt_part *part;
const oxt_lift *lift;
const oxt_part *coupon;
const oxt_lift *coupon_lift;
const oxt_target *initial;
const oxt_bath *salt_bath;
double load_kg;
double last_temper_K;
double last_temper_s;
int free_exponent;
double reader_sd;
} oxt_dip_options;
typedef enum oxt_path_source {
OXT_PATH_INSIDE = 0,
OXT_PATH_COUPON = 1,
OXT_PATH_NAMED = 2
} oxt_path_source;
typedef struct oxt_dip {
size_t struct_size;
double bath_K;
oxt_target target;
double time_s;
double earliest_s;
double latest_s;
double confidence;
double interval_low_s;
double interval_high_s;
double next_low_s;
double next_high_s;
double chance;
uint32_t cautions;
double lag_s;
double lift_growth_nm;
double initial_nm;
double quench_nm;
oxt_path_source part_source;
oxt_path_source lift_source;
oxt_shape part_shape;
double part_size_m;
double lift_s;
char part_text[160];
double crust_s;
double preheat_saves_s;
double law_time_s;
double sag_K;
double coupon_time_s;
} oxt_dip;
oxt_status oxt_dip_predict(const oxt_steel *steel, const oxt_target *target, double bath_K,
const oxt_dip_options *options, oxt_dip *dip, oxt_error *error);
oxt_status oxt_dip_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
const oxt_dip_options *options, oxt_dip *dip,
oxt_error *error);
oxt_status oxt_dip_average(const oxt_dip *const *dips, const double *weights, size_t count,
oxt_dip *average, oxt_error *error);
oxt_status oxt_dip_equivalent_time(const oxt_steel *steel, const oxt_trial *trial,
double *equivalent_s, oxt_error *error);
oxt_status oxt_dip_report(const oxt_dip *dip, oxt_temperature_unit unit,
oxt_caution_detail detail, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_dip_json(const oxt_dip *dip, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_record_options {
size_t struct_size;
double time_s;
const char *label;
} oxt_record_options;
typedef struct oxt_record {
size_t struct_size;
char name[132];
size_t dip_count;
size_t promised_count;
size_t hit_count;
double expected_hits;
double confidence;
double hits_low;
double hits_high;
double p_value;
double recent_p_value;
double false_alarm;
int kept;
double bin_count[5];
double bin_expected[5];
double bin_hits[5];
} oxt_record;
oxt_status oxt_record_add(oxt_steel **recorded, const oxt_steel *steel, const oxt_film *film,
const oxt_dip *dip, const char *seen,
const oxt_record_options *options, oxt_error *error);
oxt_status oxt_record_get(const oxt_steel *steel, double false_alarm, oxt_record *record,
oxt_error *error);
oxt_status oxt_record_trials(const oxt_steel *steel, oxt_trials *trials, oxt_error *error);
oxt_status oxt_record_report(const oxt_record *record, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_bath_range {
size_t struct_size;
double low_K;
double high_K;
double longest_s;
size_t rows;
} oxt_bath_range;
typedef struct oxt_plan_part {
size_t struct_size;
char name[48];
const oxt_steel *steel;
const oxt_film *film;
const oxt_target *target;
const oxt_dip_options *options;
} oxt_plan_part;
typedef struct oxt_plan_options {
size_t struct_size;
double spacing_s;
double tolerance;
double bath_wander_K;
double time_wander_s;
size_t draws;
uint32_t random_seed;
oxt_progress_function progress;
void *user;
} oxt_plan_options;
typedef struct oxt_plan_values {
size_t struct_size;
size_t count;
double bath_K;
double tolerance;
double aim_mismatch;
double mean_mismatch;
double high_mismatch;
double chance_match;
double chance_targets;
double last_lift_s;
uint32_t cautions;
double sag_K;
} oxt_plan_values;
typedef struct oxt_plan_step {
size_t struct_size;
size_t part;
char name[48];
double enter_s;
double lift_s;
} oxt_plan_step;
typedef struct oxt_plan oxt_plan;
oxt_status oxt_plan_baths(const oxt_steel *steel, const oxt_target *target,
const oxt_bath_range *range, const oxt_dip_options *options,
oxt_dip *best, oxt_dip *const *dips, size_t *count,
oxt_error *error);
oxt_status oxt_plan_baths_report(const oxt_dip *const *dips, size_t count,
const oxt_dip *best, oxt_temperature_unit unit,
oxt_caution_detail detail, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_plan_set(oxt_plan **set, const oxt_plan_part *const *parts, size_t count,
double bath_K, const oxt_plan_options *options, oxt_error *error);
void oxt_plan_free(oxt_plan *set);
oxt_status oxt_plan_get(const oxt_plan *set, oxt_plan_values *values, oxt_error *error);
oxt_status oxt_plan_get_step(const oxt_plan *set, size_t index, oxt_plan_step *step,
oxt_dip *dip, oxt_error *error);
oxt_status oxt_plan_report(const oxt_plan *set, oxt_temperature_unit unit,
oxt_caution_detail detail, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_plan_json(const oxt_plan *set, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef enum oxt_criterion {
OXT_ADVISE_DIP = 0,
OXT_ADVISE_CONSTANTS = 1,
OXT_ADVISE_LAW = 2
} oxt_criterion;
typedef struct oxt_advise_options {
size_t struct_size;
double low_K;
double high_K;
double shortest_s;
double longest_s;
size_t count;
oxt_criterion criterion;
int highest_order;
double target_bath_K;
const oxt_target *target;
} oxt_advise_options;
typedef struct oxt_advised_coupon {
size_t struct_size;
double bath_K;
double time_s;
char label[32];
double thickness_nm;
double chance;
double half_width;
double interval_ratio;
size_t count;
uint32_t cautions;
double exponent_stderr;
} oxt_advised_coupon;
typedef struct oxt_advise oxt_advise;
oxt_status oxt_advise_run(oxt_advise **advice, const oxt_steel *steel, const oxt_film *film,
const oxt_advise_options *options, oxt_error *error);
void oxt_advise_free(oxt_advise *advice);
oxt_status oxt_advise_get(const oxt_advise *advice, size_t index, oxt_advised_coupon *coupon,
oxt_error *error);
oxt_status oxt_advise_report(const oxt_advise *advice, oxt_temperature_unit unit,
oxt_caution_detail detail, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_advise_json(const oxt_advise *advice, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
typedef struct oxt_chart_options {
size_t struct_size;
const oxt_trials *trials;
const oxt_dip *dip;
double bath_low_K;
double bath_high_K;
double time_low_s;
double time_high_s;
} oxt_chart_options;
typedef struct oxt_chart {
size_t struct_size;
double bath_low_K;
double bath_high_K;
double time_low_s;
double time_high_s;
double earliest_s;
double aim_s;
double latest_s;
size_t band_count;
size_t mark_count;
uint32_t cautions;
size_t tick_count;
double ticks_s[24];
char name[132];
char time_label[48];
} oxt_chart;
typedef struct oxt_chart_band {
size_t struct_size;
int index;
int leaves_below;
char label[32];
double low_nm;
double high_nm;
double label_s;
double srgb[3];
} oxt_chart_band;
typedef struct oxt_chart_mark {
size_t struct_size;
size_t trial;
double bath_K;
double equivalent_s;
double seen_nm;
double srgb[3];
char label[32];
} oxt_chart_mark;
typedef enum oxt_paper { OXT_PAPER_A4 = 0, OXT_PAPER_LETTER = 1 } oxt_paper;
typedef struct oxt_sheet_options {
size_t struct_size;
const double *baths_K;
size_t bath_count;
const oxt_target *const *targets;
size_t target_count;
const oxt_dip_options *dip;
oxt_temperature_unit unit;
oxt_paper paper;
const char *date;
} oxt_sheet_options;
typedef struct oxt_sheet {
size_t struct_size;
size_t bath_count;
size_t target_count;
size_t outside_count;
uint32_t cautions;
char name[132];
char path_text[320];
char film_text[160];
char coverage[560];
size_t missing_count;
} oxt_sheet;
oxt_status oxt_chart_data(const oxt_steel *steel, const oxt_film *film,
const oxt_chart_options *options, oxt_chart *chart,
size_t band_capacity, oxt_chart_band *bands, size_t mark_capacity,
oxt_chart_mark *marks, oxt_error *error);
oxt_status oxt_chart_spread(const oxt_steel *steel, const oxt_bootstrap *bootstrap,
const oxt_target *target, double bath_K,
const oxt_dip_options *options, size_t capacity, double *time_s,
size_t *failed, oxt_error *error);
oxt_status oxt_chart_map(const oxt_steel *steel, const oxt_film *film,
const oxt_advise_options *options, size_t columns,
const double *bath_K, size_t rows, const double *time_s,
double *ratios, oxt_error *error);
oxt_status oxt_chart_sheet(const oxt_steel *steel, const oxt_film *film,
const oxt_sheet_options *options, size_t capacity, oxt_dip *dips,
oxt_sheet *sheet, oxt_error *error);
oxt_status oxt_chart_svg(const oxt_steel *steel, const oxt_film *film,
const oxt_chart_options *options, oxt_temperature_unit unit,
char *buffer, size_t capacity, size_t *needed, oxt_error *error);
oxt_status oxt_chart_sheet_svg(const oxt_steel *steel, const oxt_film *film,
const oxt_sheet_options *options, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
typedef struct oxt_cross_validation_options {
size_t struct_size;
int by_bath;
double confidence;
int threads;
oxt_progress_function progress;
void *user;
} oxt_cross_validation_options;
typedef struct oxt_cross_validation_values {
size_t struct_size;
size_t coupon_count;
size_t predicted_count;
size_t hit_count;
double expected_hits;
double hits_low;
double hits_high;
double confidence;
int by_bath;
oxt_temperature_unit unit;
} oxt_cross_validation_values;
typedef struct oxt_cross_validation_row {
size_t struct_size;
size_t trial;
size_t line;
double bath_K;
double time_s;
char seen[64];
double observed_nm;
int predicted;
double predicted_nm;
double low_nm;
double high_nm;
char colour[32];
double chance;
int hit;
char reason[96];
} oxt_cross_validation_row;
typedef struct oxt_cross_validation oxt_cross_validation;
oxt_status oxt_cross_validation_run(oxt_cross_validation **validation, const oxt_fit *fit,
const oxt_cross_validation_options *options,
oxt_error *error);
void oxt_cross_validation_free(oxt_cross_validation *validation);
oxt_status oxt_cross_validation_get(const oxt_cross_validation *validation,
oxt_cross_validation_values *values, oxt_error *error);
oxt_status oxt_cross_validation_get_row(const oxt_cross_validation *validation, size_t index,
oxt_cross_validation_row *row, oxt_error *error);
oxt_status oxt_cross_validation_report(const oxt_cross_validation *validation,
oxt_temperature_unit unit, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
typedef struct oxt_drift_options {
size_t struct_size;
double false_alarm;
double confidence;
} oxt_drift_options;
typedef struct oxt_drift {
size_t struct_size;
int called;
size_t coupon_count;
size_t since;
size_t line;
size_t after_count;
double rate_factor;
double rate_factor_low;
double rate_factor_high;
double anchor_factor;
double confidence;
double statistic;
double limit;
uint32_t cautions;
int trend;
size_t day_count;
double rate_factor_per_day;
double trend_statistic;
double trend_limit;
} oxt_drift;
oxt_status oxt_drift_find(const oxt_fit *fit, const oxt_drift_options *options,
oxt_drift *drift, oxt_error *error);
oxt_status oxt_drift_report(const oxt_drift *drift, oxt_caution_detail detail, char *buffer,
size_t capacity, size_t *needed, oxt_error *error);
typedef struct oxt_track oxt_track;
typedef struct oxt_track_options {
size_t struct_size;
const oxt_part *part;
double bath_K;
const oxt_lift *lift;
double initial_nm;
double longest_gap_s;
const oxt_part *coupon;
const oxt_lift *coupon_lift;
const oxt_bath *salt_bath;
double confidence;
double time_wander_s;
} oxt_track_options;
typedef enum oxt_track_phase {
OXT_TRACK_GROWING = 0,
OXT_TRACK_SHOWING = 1,
OXT_TRACK_PAST = 2
} oxt_track_phase;
typedef struct oxt_track_state {
size_t struct_size;
double time_s;
double bath_K;
double surface_K;
double exposure_nm2;
double thickness_nm;
double quench_nm;
int tint_index;
oxt_track_phase state;
char label[32];
double lab[3];
double srgb[3];
double to_lift_s;
double to_earliest_s;
double to_latest_s;
size_t sample_count;
size_t refused_count;
size_t gap_count;
double bridged_s;
uint32_t cautions;
double chance_now;
double chance;
double to_lift_low_s;
double to_lift_high_s;
} oxt_track_state;
oxt_status oxt_track_new(oxt_track **tracker, const oxt_steel *steel,
const oxt_film *film, const oxt_target *target,
const oxt_track_options *options, oxt_error *error);
void oxt_track_free(oxt_track *tracker);
oxt_status oxt_track_restart(oxt_track *tracker, oxt_error *error);
oxt_status oxt_track_feed(oxt_track *tracker, double time_s, double temperature_K,
oxt_error *error);
oxt_status oxt_track_read(const oxt_track *tracker, oxt_track_state *tracking,
oxt_error *error);
oxt_status oxt_track_snapshot(const oxt_track *tracker, char *buffer, size_t capacity,
size_t *needed, oxt_error *error);
oxt_status oxt_track_resume(oxt_track *tracker, const char *text, size_t length,
oxt_error *error);
#define OXT_ADVICE_HIGH ...
#define OXT_CHART_TICKS ...
#define OXT_SHEET_BATHS ...
#define OXT_SHEET_TARGETS ...
#define OXT_DRIFT_COUPONS ...
#define OXT_DRIFT_DAYS ...
static const double OXT_WAVELENGTH_LOW_NM;
static const double OXT_WAVELENGTH_HIGH_NM;
static const double OXT_WAVELENGTH_STEP_NM;
#define OXT_WAVELENGTH_COUNT ...
static const double OXT_THICKNESS_HIGH_NM;
static const double OXT_PATH_HIGH_NM;
static const double OXT_OIL_INDEX;
static const double OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double OXT_Q_LOW_J_PER_MOL;
static const double OXT_Q_HIGH_J_PER_MOL;
#define OXT_LAW_COUNT ...
static const double OXT_HISTORY_LOW_K;
static const double OXT_HISTORY_HIGH_K;
static const double OXT_HISTORY_TIME_HIGH_S;
#define OXT_RECORD_BINS ...
#define OXT_CARD_MAJOR ...
#define OXT_CARD_MINOR ...
#define OXT_RECORD_MOST ...
static const double OXT_TEMPER_CONSTANT;
static const double OXT_TEMPER_CONSTANT_LOW;
static const double OXT_TEMPER_CONSTANT_HIGH;
static const double OXT_TEMPER_FLOOR_S;
#define OXT_TINT_COUNT ...
static const double OXT_SAMPLE_LOW_K;
static const double OXT_SAMPLE_HIGH_K;
static const double OXT_BATH_LOW_K;
static const double OXT_BATH_HIGH_K;
static const double OXT_TIME_HIGH_S;
#define OXT_VERSION_MAJOR ...
#define OXT_VERSION_MINOR ...
#define OXT_VERSION_PATCH ...
#define OXT_WORDS_MOST ...
