// SPDX-License-Identifier: Apache-2.0
// Runs many virtual shops through the program, by files alone, and prints how its corrections did. See README.md.

#include <CLI/CLI.hpp>

#include <atomic>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <map>
#include <optional>

#include "engine/base/workers.h"
#include "tests/virtual_shop/hand_method.h"
#include "tests/virtual_shop/pictures.h"
#include "tests/virtual_shop/programs.h"
#include "tests/virtual_shop/sheet_layout.h"
#include "tests/virtual_shop/statistics.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;
using nlohmann::json;

constexpr double mendable_target = 2;  // dE00, mean.
constexpr double noticeable_loss = 0.3;
constexpr double clear_bias = 1.5;
constexpr double within_reach = 0.5;  // dE00: a colour that some file brings so near can be had from this shop.
constexpr double near_f50 = 0.1;      // As a share.
constexpr double hand_step = 3;       // What the eye tells apart safely in pictures.
constexpr int most_hand_sheets = 20;

struct Wish {
    int shops = 20;
    std::uint64_t seed = 1;
    bool is_json = false;
    std::vector<std::string> ways{"eye", "scan", "photograph", "hand"};
    std::string program = "hangtrue";
    std::string shop_program;
    std::string picture;
    std::string work = "virtual-shops";
    int most_sheets = 6;
    int threads = base::default_thread_count();
    bool keeps_files = false;
};

/// One shop, one way.
struct Outcome {
    std::uint64_t shop = 0;
    int sheets = 0;
    std::optional<int> sheets_to_target;  ///< By eye: after how many the mendable part was within the target.
    double before = 0;                    ///< Mean dE00 over neutrals and 24 colours, without correction.
    double after = 0;
    double after_95 = 0;            ///< Over the whole chart: 95 of 100 colours are no further off.
    double best = 0;                ///< With the best change of lightness, tint and contrast that there is.
    double least_95 = 0;            ///< As `after_95`, of the best file that there is, colour by colour.
    std::vector<double> in_reach;   ///< What is left of each of the chart's colours that the shop can print right.
    std::optional<double> f50_off;  ///< Measured over true, less 1.
    std::string failure;            ///< Why there is no correction; then `after` is `before`.

    double mendable_left() const { return std::max(0.0, after - best); }
};

// Where a shop's files lie, and how its programs are called.
class Loop {
  public:
    Loop(const Wish& wish, std::filesystem::path work, std::uint64_t seed)
        : m_wish(wish), m_work(std::move(work)), m_seed(seed) {
        m_picture = wish.picture.empty() ? (m_work.parent_path() / "scene.tif").string() : wish.picture;
        m_chart = (m_work.parent_path() / "chart.tif").string();
        m_boxes = (m_work.parent_path() / "boxes.json").string();
        std::filesystem::create_directories(m_work);
        m_shop_file = (m_work / "shop.toml").string();
        call_shop({"open", "--seed", std::to_string(seed), "--to", m_shop_file});
        m_shop = read_shop(m_shop_file);
    }

    const Shop& shop() const { return m_shop; }

    /// An empty data folder with the shop's file in it, for one way.
    void begin(const std::string& way) {
        m_data = m_work / way;
        std::filesystem::remove_all(m_data);
        for (const char* folder : {"shops", "sheets", "prints"}) {
            std::filesystem::create_directories(m_data / folder);
        }
        std::ofstream(m_data / "shops" / "virtual.toml") << shop_file_text();
        m_sheet_number = 0;
    }

    /// Ordered, printed: the sheet's layout as told, and its print.
    SheetLayout next_sheet() {
        ++m_sheet_number;
        const auto folder = m_data / "sheets" / std::to_string(m_sheet_number);
        std::filesystem::create_directories(folder);
        const json laid_out = hangtrue({"test", "sheet", m_picture, "--shop", "virtual", "--medium", "paper", "--size",
                                        "18x12in", "--to", folder.string()});
        std::ofstream(layout_file()) << laid_out.dump(1);
        const SheetLayout layout = layout_of(laid_out, layout_file());
        call_shop({"print", m_shop_file, layout.file, "--to", print_file()});
        return layout;
    }

    json eye() {
        json answer = asked({"answer", m_shop_file, print_file(), "--layout", layout_file(), "--picture", m_picture,
                             "--seed", chance_of_sheet(), "--json"});
        answer["grey"] = asked({"answer", m_shop_file, print_file(), "--layout", layout_file(), "--greys", "--seed",
                                chance_of_sheet(), "--json"})
                             .at("grey");
        return answer;
    }
    /// What the guide asks for: the best cell, the next best, and the grey that looks like bare paper.
    void tell_answer(const std::string& sheet, const json& answer) {
        hangtrue({"test", "answer", sheet, "--cell", answer.at("cell"), "--second", answer.at("second"), "--grey",
                  answer.at("grey"), "--screen-brightness", "120", "--light", "500"});
    }
    void tell_scan(const std::string& sheet, bool is_photograph) {
        const std::string file = (m_data / (is_photograph ? "photograph.jpg" : "scan.tif")).string();
        if (is_photograph) {
            call_shop({"photograph", print_file(), "--to", file, "--seed", chance_of_sheet()});
        } else {
            call_shop({"scan", print_file(), "--to", file, "--ppi", "300", "--seed", chance_of_sheet()});
        }
        std::vector<std::string> words{"test", "scan", sheet, file};
        if (is_photograph) words.emplace_back("--photograph");
        hangtrue(words);
    }
    json status() { return hangtrue({"test", "status", "--shop", "virtual", "--medium", "paper"}); }

    /// The chart as it would be sent, with the correction learned or without.
    std::string chart_file(const std::string& correction) {
        const auto folder = m_data / "prints" / correction;
        std::filesystem::create_directories(folder);
        const json made = hangtrue({"make", m_chart, "--shop", "virtual", "--medium", "paper", "--size", "10x8in",
                                    "--correction", correction, "--sharpen", "off", "--enlarge", "filter", "--to",
                                    folder.string(), "--replace", "--anyway"});
        return made.at("file");
    }
    /// The chart's colours as the shop prints that file.
    std::vector<Lab> printed_chart(const std::string& file, bool with_bias) {
        std::vector<std::string> words{"colours", m_shop_file, file, "--boxes", m_boxes};
        if (!with_bias) words.emplace_back("--without-bias");
        std::vector<Lab> out;
        for (const auto& box : asked(words)) {
            const auto& lab = box.at("lab");
            out.push_back({lab.at(0), lab.at(1), lab.at(2)});
        }
        return out;
    }
    const std::string& picture() const { return m_picture; }
    void clear() const { std::filesystem::remove_all(m_work); }

  private:
    std::string layout_file() const { return (m_data / "sheet.json").string(); }
    std::string print_file() const { return (m_data / "sheet.print.tif").string(); }
    std::string chance_of_sheet() const {
        return std::to_string(m_seed * 100 + static_cast<std::uint64_t>(m_sheet_number));
    }
    json hangtrue(std::vector<std::string> words) const {
        words.insert(words.begin(), {m_wish.program, "--data", m_data.string()});
        words.emplace_back("--json");
        return told(words, m_work);
    }
    json asked(std::vector<std::string> words) const {
        words.insert(words.begin(), m_wish.shop_program);
        return told(words, m_work);
    }
    void call_shop(std::vector<std::string> words) const {
        words.insert(words.begin(), m_wish.shop_program);
        const Ended ended = ran(words, m_work);
        if (ended.status != 0) throw std::runtime_error("the virtual shop failed: " + ended.complaint);
    }

    const Wish& m_wish;
    std::filesystem::path m_work, m_data;
    std::uint64_t m_seed;
    std::string m_picture, m_chart, m_boxes, m_shop_file;
    Shop m_shop;
    int m_sheet_number = 0;
};

std::vector<Lab> chart_colours() {
    const colour::Profile profile = colour::Profile::srgb();
    const colour::LabReader reader(profile);
    std::vector<Lab> out;
    for (const ChartPatch& patch : chart_patches()) {
        std::array<float, 3> rgb{};
        for (std::size_t i = 0; i < 3; ++i) rgb[i] = static_cast<float>(patch.rgb[i]) / 255;
        out.push_back(reader.lab(rgb));
    }
    return out;
}

std::vector<double> differences(std::span<const Lab> wanted, std::span<const Lab> printed) {
    if (printed.size() != wanted.size()) throw std::runtime_error("the shop told other colours than were asked for");
    std::vector<double> out;
    for (std::size_t i = 0; i < wanted.size(); ++i) out.push_back(colour::delta_e_2000(wanted[i], printed[i]));
    return out;
}

// Of those colours that some file brings near enough.
std::vector<double> in_reach(std::span<const double> all, std::span<const double> least) {
    std::vector<double> out;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (least[i] <= within_reach) out.push_back(all[i]);
    }
    return out;
}

constexpr std::size_t scored = neutral_patches + colour_patches;

double scored_mean(std::vector<double> all) {
    all.resize(scored);
    return mean(all);
}

// What the picture holds in the middle of a part as large as a hand-made cell may be.
std::vector<Lab> hand_part(const SentFile& picture) {
    constexpr int blocks = 24;
    const colour::LabReader reader(picture.profile);
    const int width = std::min(900, picture.size.width), height = std::min(720, picture.size.height);
    std::vector<Lab> out;
    for (int j = 0; j < blocks; ++j) {
        for (int i = 0; i < blocks; ++i) {
            const int left = (picture.size.width - width) / 2 + i * width / blocks;
            const int top = (picture.size.height - height) / 2 + j * height / blocks;
            std::array<float, 3> sum{};
            for (int y = top; y < top + height / blocks; ++y) {
                for (int x = left; x < left + width / blocks; ++x) {
                    const auto* pixel =
                        &picture
                             .samples[3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.size.width) +
                                           static_cast<std::size_t>(x))];
                    for (std::size_t c = 0; c < 3; ++c) sum[c] += static_cast<float>(pixel[c]) / 65535;
                }
            }
            for (float& value : sum) value /= static_cast<float>((height / blocks) * (width / blocks));
            out.push_back(reader.lab(sum));
        }
    }
    return out;
}

// What was measured of the medium's blur, where the program tells it.
std::optional<double> f50_off(const json& status, const Shop& shop) {
    if (!status.contains("f50_cycles_per_mm") || !status["f50_cycles_per_mm"].is_number() || shop.blur_mm <= 0) {
        return std::nullopt;
    }
    const double f50 = std::sqrt(std::log(2.0) / 2) / 3.14159265358979 / shop.blur_mm;
    return status["f50_cycles_per_mm"].get<double>() / f50 - 1;
}

struct Yardstick {
    std::vector<Lab> wanted;  ///< Each of the chart's colours without bias.
    double before = 0;
    double best = 0;
    std::vector<double> least;  ///< Of each colour, with the best file that there is.
};

void by_program(Loop& loop, const std::string& way, int most_sheets, const Yardstick& yardstick, Outcome& outcome) {
    const auto score = [&] {
        const auto all = differences(yardstick.wanted, loop.printed_chart(loop.chart_file("latest"), true));
        outcome.after = scored_mean(all);
        outcome.after_95 = quantile(all, 0.95);
        outcome.in_reach = in_reach(all, yardstick.least);
    };
    if (way != "eye") {
        const SheetLayout layout = loop.next_sheet();
        outcome.sheets = 1;
        loop.tell_scan(layout.sheet, way == "photograph");
        outcome.f50_off = f50_off(loop.status(), loop.shop());
        score();
        return;
    }
    for (bool stops = false; !stops && outcome.sheets < most_sheets;) {
        const SheetLayout layout = loop.next_sheet();
        ++outcome.sheets;
        loop.tell_answer(layout.sheet, loop.eye());
        stops = loop.status().at("stop").get<bool>();
        score();
        if (!outcome.sheets_to_target && outcome.mendable_left() <= mendable_target) {
            outcome.sheets_to_target = outcome.sheets;
        }
    }
}

std::vector<std::pair<std::string, Outcome>> run_shop(const Wish& wish, std::uint64_t seed,
                                                      std::span<const Lab> colours, std::span<const Lab> part) {
    const auto work = std::filesystem::path(wish.work) / ("shop-" + std::to_string(seed));
    Loop loop(wish, work, seed);
    const Printer biased(loop.shop(), Printer::With::bias), right(loop.shop(), Printer::With::no_bias);
    Yardstick yardstick;
    const auto judged = colours.first(scored);
    yardstick.best = mean(errors(judged, best_change(judged, biased, right), biased, right));
    yardstick.least = least_errors(colours, biased, right);
    // By the program's own files where it plays a part; else by colour alone.
    const bool has_program = wish.ways != std::vector<std::string>{"hand"};
    std::vector<double> before = errors(colours, {}, biased, right);
    if (has_program) {
        loop.begin("none");
        const std::string plain = loop.chart_file("none");
        yardstick.wanted = loop.printed_chart(plain, false);
        before = differences(yardstick.wanted, loop.printed_chart(plain, true));
    }
    yardstick.before = scored_mean(before);

    std::vector<std::pair<std::string, Outcome>> out;
    for (const std::string& way : wish.ways) {
        Outcome outcome;
        outcome.shop = seed;
        outcome.before = outcome.after = yardstick.before;
        outcome.after_95 = quantile(before, 0.95);
        outcome.best = yardstick.best;
        outcome.least_95 = quantile(yardstick.least, 0.95);
        outcome.in_reach = in_reach(before, yardstick.least);
        if (way == "hand") {
            Chance chance(seed ^ 0x68616e64ULL);
            const HandResult result = by_hand(part, biased, right, hand_step, 1.5, most_hand_sheets, chance);
            const auto all = errors(colours, result.change, biased, right);
            outcome.sheets = result.sheets;
            outcome.after = scored_mean(all);
            outcome.after_95 = quantile(all, 0.95);
            outcome.in_reach = in_reach(all, yardstick.least);
            if (!result.has_ended) outcome.failure = "the middle never won";
        } else {
            loop.begin(way);
            try {
                by_program(loop, way, wish.most_sheets, yardstick, outcome);
            } catch (const std::exception& error) {
                outcome.failure = error.what();
                outcome.after = outcome.before;
            }
        }
        out.emplace_back(way, outcome);
    }
    if (!wish.keeps_files) loop.clear();
    return out;
}

json interval_json(const Interval& of) { return {{"value", of.value}, {"low", of.low}, {"high", of.high}}; }

// One line of the table: how a measure is spread over the shops.
json spread(const std::vector<double>& values, std::uint64_t seed) {
    const auto at = [](double share) {
        return [share](const std::vector<double>& all) { return quantile(all, share); };
    };
    return {{"median", interval_json(with_interval(values, at(0.5), seed))},
            {"at_90_percent", interval_json(with_interval(values, at(0.9), seed + 1))},
            {"mean", interval_json(with_interval(values, mean, seed + 2))}};
}

// Every colour of every shop that can be had from it; whole shops are drawn for the intervals.
json in_reach_json(const std::vector<Outcome>& outcomes, std::uint64_t seed) {
    const auto pooled = [&](const auto& of) {
        const auto of_shops = [&of](const std::vector<Outcome>& shops) {
            std::vector<double> all;
            for (const Outcome& shop : shops) all.insert(all.end(), shop.in_reach.begin(), shop.in_reach.end());
            return of(all);
        };
        return interval_json(with_interval(outcomes, of_shops, seed));
    };
    double count = 0;
    for (const Outcome& outcome : outcomes) count += static_cast<double>(outcome.in_reach.size());
    if (count == 0) return {{"share_of_colours", 0}};
    return {{"share_of_colours",
             count / (static_cast<double>(outcomes.size()) * static_cast<double>(chart_patches().size()))},
            {"mean", pooled(mean)},
            {"at_95_percent", pooled([](const std::vector<double>& all) { return quantile(all, 0.95); })}};
}

json summary_of(const std::vector<Outcome>& outcomes, std::uint64_t seed) {
    const auto all = [&](const auto& value) {
        std::vector<double> values;
        for (const Outcome& outcome : outcomes) values.push_back(static_cast<double>(value(outcome)));
        return values;
    };
    json out{{"shops", outcomes.size()}, {"bootstrap_seed", seed}};
    out["sheets"] = spread(all([](const Outcome& o) { return o.sheets; }), seed);
    out["before_de00"] = spread(all([](const Outcome& o) { return o.before; }), seed);
    out["after_de00"] = spread(all([](const Outcome& o) { return o.after; }), seed);
    out["after_de00_of_95_percent_of_colours"] = spread(all([](const Outcome& o) { return o.after_95; }), seed);
    out["least_de00_of_95_percent_of_colours"] = spread(all([](const Outcome& o) { return o.least_95; }), seed);
    out["in_reach_de00"] = in_reach_json(outcomes, seed);
    out["best_lightness_tint_contrast_de00"] = spread(all([](const Outcome& o) { return o.best; }), seed);
    out["mendable_left_de00"] = spread(all([](const Outcome& o) { return o.mendable_left(); }), seed);
    out["share_within_target"] = interval_json(with_interval(
        all([](const Outcome& o) { return o.failure.empty() && o.mendable_left() <= mendable_target; }), mean, seed));
    out["share_worse_than_none"] = interval_json(
        with_interval(all([](const Outcome& o) { return o.after > o.before + noticeable_loss; }), mean, seed));
    std::vector<Outcome> clear;
    for (const Outcome& outcome : outcomes) {
        if (outcome.before > clear_bias) clear.push_back(outcome);
    }
    out["shops_with_clear_bias"] = clear.size();
    out["worse_with_clear_bias"] =
        std::count_if(clear.begin(), clear.end(), [](const Outcome& o) { return o.after > o.before; });
    out["failed"] =
        std::count_if(outcomes.begin(), outcomes.end(), [](const Outcome& o) { return !o.failure.empty(); });
    std::vector<double> to_target, f50;
    for (const Outcome& outcome : outcomes) {
        if (outcome.sheets_to_target) to_target.push_back(*outcome.sheets_to_target);
        if (outcome.f50_off) f50.push_back(std::abs(*outcome.f50_off));
    }
    if (!to_target.empty()) out["sheets_to_target"] = spread(to_target, seed);
    out["f50_told"] = f50.size();
    if (!f50.empty()) {
        out["f50_off"] = spread(f50, seed);
        std::vector<double> near;
        for (const double off : f50) near.push_back(off <= near_f50 ? 1 : 0);
        out["share_f50_within_10_percent"] = interval_json(with_interval(near, mean, seed));
    }
    return out;
}

json outcome_json(const Outcome& outcome) {
    json out{{"shop", outcome.shop},
             {"sheets", outcome.sheets},
             {"before_de00", outcome.before},
             {"after_de00", outcome.after},
             {"after_95_de00", outcome.after_95},
             {"least_95_de00", outcome.least_95},
             {"best_de00", outcome.best},
             {"mendable_left_de00", outcome.mendable_left()}};
    if (outcome.sheets_to_target) out["sheets_to_target"] = *outcome.sheets_to_target;
    if (outcome.f50_off) out["f50_off"] = *outcome.f50_off;
    if (!outcome.failure.empty()) out["failure"] = outcome.failure;
    return out;
}

void print_in_reach(const json& reach) {
    if (!reach.contains("mean")) return;  // No colour is.
    std::cout << "  " << std::left << std::setw(46) << "with it, all colours that the shop can print right"
              << std::right << std::setprecision(2);
    for (const auto& [part, name] : {std::pair{"mean", "mean"}, std::pair{"at_95_percent", "95 %"}}) {
        const json& of = reach[part];
        std::cout << "  " << name << ' ' << of["value"].get<double>() << " [" << of["low"].get<double>() << ", "
                  << of["high"].get<double>() << "]";
    }
    std::cout << "  (" << std::setprecision(0) << 100 * reach["share_of_colours"].get<double>()
              << " % of the colours)\n";
}

void print_table(const json& result) {
    std::cout
        << result["shops"] << " shops from seed " << result["seed"]
        << "; colour differences are CIEDE2000 (1 is just visible), means over neutrals and 24 colours that are on "
           "no sheet.\nIn brackets the 95 % bootstrap interval.\n";
    const auto line = [](const json& summary, const char* key, const char* words) {
        if (!summary.contains(key)) return;
        std::cout << "  " << std::left << std::setw(46) << words << std::right << std::fixed << std::setprecision(2);
        for (const auto& [part, name] :
             {std::pair{"median", "median"}, std::pair{"at_90_percent", "90 %"}, std::pair{"mean", "mean"}}) {
            const json& of = summary[key][part];
            std::cout << "  " << name << ' ' << of["value"].get<double>() << " [" << of["low"].get<double>() << ", "
                      << of["high"].get<double>() << "]";
        }
        std::cout << '\n';
    };
    for (const auto& [way, summary] : result["ways"].items()) {
        std::cout << "\nby " << way << '\n';
        line(summary, "sheets", "sheets until told to stop");
        line(summary, "sheets_to_target", "sheets until the mendable part was within 2");
        line(summary, "before_de00", "without correction");
        line(summary, "after_de00", "with it");
        line(summary, "after_de00_of_95_percent_of_colours", "with it, 95 % of 180 colours");
        line(summary, "least_de00_of_95_percent_of_colours", "the best file there is, 95 % of 180 colours");
        print_in_reach(summary["in_reach_de00"]);
        line(summary, "best_lightness_tint_contrast_de00", "the best lightness, tint, contrast (rest: scan)");
        line(summary, "mendable_left_de00", "left of the part that these can mend");
        line(summary, "f50_off", "measured blur against the true one (share)");
        const auto share = [&](const char* key, const char* words) {
            const json& of = summary[key];
            std::cout << "  " << std::left << std::setw(46) << words << "  " << std::setprecision(1)
                      << 100 * of["value"].get<double>() << " % [" << 100 * of["low"].get<double>() << ", "
                      << 100 * of["high"].get<double>() << "]\n";
        };
        if (summary.contains("share_f50_within_10_percent")) {
            share("share_f50_within_10_percent", "measured blurs within 10 % of the true one");
            std::cout << "  blur was told of " << summary["f50_told"] << " shops\n";
        }
        share("share_within_target", "shops whose mendable part is within 2");
        share("share_worse_than_none", "shops over 0.3 worse than without");
        std::cout << "  worse than without, of " << summary["shops_with_clear_bias"]
                  << " shops over 1.5: " << summary["worse_with_clear_bias"] << "; no correction: " << summary["failed"]
                  << '\n';
    }
}

json run_all(const Wish& wish) {
    std::filesystem::create_directories(wish.work);
    const std::filesystem::path work = std::filesystem::absolute(wish.work);
    Wish own = wish;
    own.work = work.string();
    if (own.picture.empty() && !std::filesystem::exists(work / "scene.tif")) write_scene(work / "scene.tif", 1);
    write_chart(work / "chart.tif");
    json boxes = json::array();
    for (const ChartPatch& patch : chart_patches()) {
        boxes.push_back({{"x_mm", patch.inner.x},
                         {"y_mm", patch.inner.y},
                         {"width_mm", patch.inner.width},
                         {"height_mm", patch.inner.height}});
    }
    std::ofstream(work / "boxes.json") << boxes.dump();
    const auto colours = chart_colours();
    const auto part =
        hand_part(read_sent(own.picture.empty() ? work / "scene.tif" : std::filesystem::path(own.picture)));

    // Shops know nothing of one another; each thread has programs of its own to wait for.
    std::vector<std::vector<std::pair<std::string, Outcome>>> all(static_cast<std::size_t>(own.shops));
    std::atomic<int> done = 0;
    base::Workers workers(own.threads);
    base::Workers::Group group;
    for (int i = 0; i < own.shops; ++i) {
        workers.submit(group, [&, i](int) {
            const std::uint64_t seed = own.seed * 1000 + static_cast<std::uint64_t>(i);
            all[static_cast<std::size_t>(i)] = run_shop(own, seed, colours, part);
            std::cerr << "shop " + std::to_string(++done) + " of " + std::to_string(own.shops) + "\n";
        });
    }
    group.wait();
    std::map<std::string, std::vector<Outcome>> by_way;
    for (const auto& shop : all) {
        for (const auto& [way, outcome] : shop) by_way[way].push_back(outcome);
    }
    json out{{"shops", own.shops}, {"seed", own.seed}};
    for (const auto& [way, outcomes] : by_way) {
        out["ways"][way] = summary_of(outcomes, own.seed);
        for (const Outcome& outcome : outcomes) out["ways"][way]["each"].push_back(outcome_json(outcome));
    }
    return out;
}

int run(int argc, char** argv) {
    Wish wish;
    wish.shop_program = (std::filesystem::path(argv[0]).parent_path() / "virtual_shop").string();
    const auto beside = std::filesystem::path(argv[0]).parent_path() / "hangtrue";
    if (std::filesystem::exists(beside)) wish.program = beside.string();
    CLI::App app("Runs virtual shops through the program, by files, and prints how its corrections did.");
    app.add_option("--shops", wish.shops, "how many")->check(CLI::Range(1, 100000));
    app.add_option("--seed", wish.seed, "of the shops and of what is left to chance");
    app.add_flag("--json", wish.is_json);
    app.add_option("--ways", wish.ways, "eye, scan, photograph, hand")
        ->delimiter(',')
        ->check(CLI::IsMember({"eye", "scan", "photograph", "hand"}));
    app.add_option("--program", wish.program, "the program that is tried");
    app.add_option("--shop-program", wish.shop_program, "the shop that stands in");
    app.add_option("--picture", wish.picture, "a picture to hold sheets against; else one made in code");
    app.add_option("--work", wish.work, "a folder for the files");
    app.add_option("--most-sheets", wish.most_sheets, "by eye, then it ends")->check(CLI::Range(1, 50));
    app.add_option("--threads", wish.threads, "shops at a time")->check(CLI::Range(1, 256));
    app.add_flag("--keep", wish.keeps_files, "leaves each shop's files in the work folder");
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    }
    try {
        const json result = run_all(wish);
        if (wish.is_json) {
            std::cout << result.dump(1) << '\n';
        } else {
            print_table(result);
        }
        return 0;
    } catch (const std::exception& error) {
        std::cerr << "virtual_shops: " << error.what() << '\n';
        return 3;
    }
}

}  // namespace
}  // namespace hangtrue::virtual_shop

int main(int argc, char** argv) { return hangtrue::virtual_shop::run(argc, argv); }
