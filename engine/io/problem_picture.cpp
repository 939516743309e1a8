#include "engine/io/problem_picture.h"

#include "engine/figure/move_figure.h"
#include "engine/figure/scene_figure.h"
#include "engine/io/captions.h"
#include "engine/io/plot.h"
#include "engine/io/quantities.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/svg_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

namespace {

constexpr double kWidth_px = 1400.0;
constexpr double kMargin_px = 36.0;
constexpr double kTop_px = 100.0;
constexpr double kGap_px = 8.0;
constexpr double kCaption_px = 44.0;
constexpr double kMostFigureHeight_px = 320.0;
constexpr double kRow_px = 40.0;    ///< of the table of moves
constexpr double kHead_px = 44.0;   ///< above it
constexpr double kFoot_px = 124.0;  ///< scale and cautions
constexpr double kName_px = 300.0;  ///< columns of the table
constexpr double kBar_px = 400.0;
constexpr double kFigure_px = 70.0;
constexpr double kText_px = 13.0;
constexpr double kFullBar = 1.25;  ///< effort at the end of the bars
constexpr std::size_t kPerRow = 8;

const move::Frame* find_last_posture(const move::MoveResult& result, const body::Body& body) {
  for (auto frame = result.frames.rbegin(); frame != result.frames.rend(); ++frame) {
    if (frame->posture.angles.size() == body.tree.n_hinges()) return &*frame;
  }
  return nullptr;
}

/// Least slip-off margin of a hand over the move.
std::optional<double> find_hand_margin(const move::MovePeaks& peaks) {
  std::optional<double> margin;
  for (const Limb hand : {Limb::kLeftHand, Limb::kRightHand}) {
    const move::MovePeaks::OfLimb& of = peaks.limbs[index_of(hand)];
    if (of.slip_off_frame >= 0) margin = std::min(margin.value_or(of.slip_off.margin), of.slip_off.margin);
  }
  return margin;
}

std::string shorten(const std::string& text, double size_px, double width_px) {
  const std::vector<std::string> lines = wrap_text(text, size_px, width_px);
  if (lines.size() <= 1) return text;
  return lines.front() + " \u2026";
}

class ProblemPage {
 public:
  ProblemPage(move::Scene scene, body::Body body, const move::ProblemResult& problem)
      : scene_(std::move(scene)), body_(std::move(body)), problem_(problem) {
    scene_figure_ = figure::make_scene_figure(scene_);
    const figure::Skeleton skeleton = figure::make_skeleton(body_);
    for (const move::ProblemMove& step : problem_.moves) {
      const move::Frame* last = find_last_posture(step.result, body_);
      figures_.push_back(last == nullptr
                             ? figure::Figure{}
                             : figure::make_frame_figure(body_, skeleton, *last, 0, {.m_per_N = 0.4 / 700.0}));
    }
    fit();
  }

  [[nodiscard]] const std::string& name() const { return scene_.name; }
  [[nodiscard]] double height_px() const {
    return table_top() + kHead_px + kRow_px * static_cast<double>(problem_.moves.size()) + kFoot_px;
  }

  void draw(Canvas& canvas) const {
    canvas.text({kMargin_px, 40.0}, scene_.name.empty() ? "problem" : scene_.name, {.size_px = 22.0, .bold = true});
    canvas.text({kWidth_px - kMargin_px, 40.0}, describe_climber(scene_, body_),
                {.size_px = kText_px, .fill = kMuted, .anchor = "end"});
    canvas.text({kMargin_px, 68.0}, summarise(), {.size_px = 14.0});
    for (std::size_t i = 0; i < figures_.size(); ++i) draw_figure(canvas, i);
    draw_table(canvas);
    const double y = height_px() - kFoot_px + 24.0;
    draw_use_scale(canvas, {kWidth_px - kMargin_px - 312.0, y}, 260.0);
    canvas.text({kMargin_px, y + 10.0},
                "from the side, wall at the right, at the end of each move; arrows: forces of the holds, colour and "
                "bars: share of the capacity, of the strength",
                {.size_px = 12.0, .fill = "#323f4b"});
    canvas.line({kMargin_px, y + 40.0}, {kWidth_px - kMargin_px, y + 40.0}, {.stroke = "#cbd2d9"});
    draw_cautions(canvas, {kMargin_px, y + 60.0});
  }

 private:
  [[nodiscard]] double n_rows() const { return std::ceil(static_cast<double>(figures_.size()) / kPerRow); }
  [[nodiscard]] double table_top() const { return kTop_px + n_rows() * (size_.y() + kCaption_px) + 10.0; }

  [[nodiscard]] std::string summarise() const {
    if (problem_.moves.empty()) return "the scene has no moves";
    const auto n_held = std::count_if(problem_.moves.begin(), problem_.moves.end(), [](const move::ProblemMove& step) {
      return step.result.verdict == move::Verdict::kStatic;
    });
    return fmt::format("{} of {} moves hold; crux: {}", n_held, problem_.moves.size(),
                       problem_.moves[*problem_.crux].result.name);
  }

  /// One scale for all figures, each in a window around its body.
  void fit() {
    Vec2 extent(0.5, 0.5);
    for (const figure::Figure& drawn : figures_) {
      const figure::Box box = find_body_box(drawn);
      middles_.emplace_back(0.5 * (box.lower.y() + box.upper.y()), 0.5 * (box.lower.z() + box.upper.z()));
      if (box.lower.y() > box.upper.y()) continue;
      extent = extent.cwiseMax(Vec2(box.upper.y() - box.lower.y(), box.upper.z() - box.lower.z()));
    }
    extent += Vec2(0.3, 0.2);
    const double n = std::clamp<double>(static_cast<double>(figures_.size()), 5.0, kPerRow);
    const double width = (kWidth_px - 2.0 * kMargin_px - (n - 1.0) * kGap_px) / n;
    px_per_m_ = std::min(width / extent.x(), kMostFigureHeight_px / extent.y());
    size_ = {width, extent.y() * px_per_m_};
    if (figures_.empty()) size_ = {0.0, 0.0};
  }

  /// Without the plumb line, which goes to the floor.
  static figure::Box find_body_box(const figure::Figure& drawn) {
    figure::Figure body = drawn;
    std::erase_if(body.lines, [](const figure::Line& line) { return line.role == figure::Role::kPlumb; });
    return figure::find_box(body);
  }

  void draw_figure(Canvas& canvas, std::size_t i) const {
    const move::MoveResult& result = problem_.moves[i].result;
    View view;
    view.horizontal = 1;
    view.px_per_m = px_per_m_;
    view.size = size_;
    const std::size_t row = i / kPerRow;
    view.corner = {kMargin_px + static_cast<double>(i % kPerRow) * (size_.x() + kGap_px),
                   kTop_px + static_cast<double>(row) * (size_.y() + kCaption_px)};
    canvas.rectangle(view.corner, view.size, 0.0, {.stroke = "#e4e8ec"});
    const Vec2 caption(view.corner.x() + 0.5 * size_.x(), view.corner.y() + size_.y());
    if (figures_[i].lines.empty()) {
      canvas.text(view.corner + 0.5 * size_, "no posture found", {.size_px = 12.0, .fill = kMuted, .anchor = "middle"});
    } else {
      view.lower_m = middles_[i] - 0.5 * size_ / px_per_m_;
      draw_small_view(view, scene_figure_, figures_[i], 0, canvas);
    }
    canvas.text(caption + Vec2(0.0, 17.0), shorten(fmt::format("{}  {}", i + 1, result.name), 12.0, size_.x()),
                {.size_px = 12.0, .anchor = "middle", .bold = i == problem_.crux});
    canvas.text(caption + Vec2(0.0, 33.0), result.frames.empty() ? "" : describe_end(result),
                {.size_px = 12.0, .fill = kMuted, .anchor = "middle"});
  }

  static std::string describe_end(const move::MoveResult& result) {
    return result.frames.back().has_posture ? "at its end" : "not met; nearest posture";
  }

  void draw_table(Canvas& canvas) const {
    const double left = kMargin_px;
    const double bar = left + kName_px;
    const double figure = bar + kBar_px + 16.0;
    const double margin = figure + kFigure_px;
    const double cause = margin + kFigure_px + 16.0;
    double y = table_top() + 26.0;
    const TextStyle head{.size_px = kText_px, .bold = true};
    canvas.text({left, y}, "move", head);
    canvas.text({bar, y}, "peak effort", head);
    canvas.text({margin + kFigure_px, y}, "hand margin", {.size_px = kText_px, .anchor = "end", .bold = true});
    canvas.text({cause, y}, "verdict", head);
    y += 10.0;
    canvas.line({left, y}, {kWidth_px - kMargin_px, y}, {.stroke = "#9aa5b1"});
    const double full_x = bar + kBar_px / kFullBar;
    const double bottom = y + kRow_px * static_cast<double>(problem_.moves.size());
    for (std::size_t i = 0; i < problem_.moves.size(); ++i) {
      const move::ProblemMove& step = problem_.moves[i];
      const double middle = y + kRow_px * (static_cast<double>(i) + 0.5);
      draw_row(canvas, step, i, middle, {bar, figure, margin, cause});
    }
    canvas.line({full_x, y}, {full_x, bottom}, {.stroke = kInk, .width_px = 1.2, .dash = "6 4"});
    canvas.text({full_x, y - 16.0}, "100 %", {.size_px = 11.0, .fill = kMuted, .anchor = "middle"});
  }

  struct Columns {
    double bar, figure, margin, cause;
  };

  void draw_row(Canvas& canvas, const move::ProblemMove& step, std::size_t i, double middle, const Columns& at) const {
    const move::MoveResult& result = step.result;
    const bool is_crux = i == problem_.crux;
    const bool is_met = move::are_contacts_met(result.cause);
    const bool has_effort = is_met && std::isfinite(result.effort_peak);
    const std::string note = is_crux ? "crux" : "";
    const std::string start = i > 0 && !step.follows ? "from a stance of its own" : "";
    canvas.text({kMargin_px, middle + (note.empty() && start.empty() ? 4.0 : -1.0)},
                shorten(fmt::format("{}  {}", i + 1, result.name), kText_px, kName_px - 12.0),
                {.size_px = kText_px, .bold = is_crux});
    canvas.text({kMargin_px + 18.0, middle + 14.0}, note + (note.empty() || start.empty() ? "" : "; ") + start,
                {.size_px = 11.0, .fill = kMuted});
    if (has_effort) {
      const double length = kBar_px * std::min(result.effort_peak, kFullBar) / kFullBar;
      canvas.rectangle({at.bar, middle - 9.0}, {length, 18.0}, 0.0,
                       {.stroke = kInk, .width_px = 0.8, .fill = use_colour(result.effort_peak)});
    }
    canvas.text({at.figure + kFigure_px - 22.0, middle + 4.0}, has_effort ? show_percent(result.effort_peak) : "-",
                {.size_px = kText_px, .anchor = "end"});
    const auto margin = find_hand_margin(result.peaks);
    canvas.text({at.margin + kFigure_px, middle + 4.0}, margin ? show_degrees(*margin) : "-",
                {.size_px = kText_px, .anchor = "end"});
    const double room = kWidth_px - kMargin_px - at.cause;
    const std::vector<std::string> lines =
        wrap_text(std::string(move::name_of(result.verdict)) + ": " + result.cause_text, 12.0, room);
    const std::size_t n = std::min<std::size_t>(lines.size(), 2);
    for (std::size_t k = 0; k < n; ++k)
      canvas.text({at.cause, middle + (n == 1 ? 4.0 : -3.0 + 15.0 * static_cast<double>(k))},
                  k + 1 == n && lines.size() > n ? lines[k] + " \u2026" : lines[k], {.size_px = 12.0});
  }

  move::Scene scene_;
  body::Body body_;
  move::ProblemResult problem_;
  figure::Figure scene_figure_;
  std::vector<figure::Figure> figures_;
  std::vector<Vec2> middles_;  ///< of the bodies, (y, z) in W
  Vec2 size_{0.0, 0.0};
  double px_per_m_ = 100.0;
};

}  // namespace

Drawing make_problem_picture(const move::Scene& scene, const body::Body& body, const move::ProblemResult& problem) {
  const auto page = std::make_shared<const ProblemPage>(scene, body, problem);
  return {page->name(), {kWidth_px, page->height_px()}, [page](Canvas& canvas) { page->draw(canvas); }};
}

}  // namespace steepwright::io
