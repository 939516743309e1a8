#include "engine/io/captions.h"

#include "engine/figure/cautions.h"
#include "engine/io/quantities.h"
#include "engine/io/svg_canvas.h"

#include <fmt/format.h>

#include <iterator>
#include <utility>

namespace steepwright::io {

namespace {

constexpr double kCautionLine_px = 15.5;

}  // namespace

std::string describe_climber(const move::Scene& scene, const body::Body& body) {
  std::string text = scene.climber.measures.name.empty() ? std::string("climber") : scene.climber.measures.name;
  const std::string stature = fmt::format("{:.2f} m", scene.climber.measures.stature_m);
  if (text.find(stature) == std::string::npos) text += ", " + stature;
  text += fmt::format(", {:.0f} kg", body.tree.mass_kg);
  if (body.span_m > 0.0) text += fmt::format(", span {:.2f} m", body.span_m);
  return text;
}

std::string describe_cause(move::Cause cause, std::optional<Limb> limb, std::string_view joint) {
  switch (cause) {
    case move::Cause::kNone:
      return "";
    case move::Cause::kReach:
      return "reach";
    case move::Cause::kClearance:
      return "wall or room in the way";
    case move::Cause::kSlip:
      return "slip";
    case move::Cause::kGrip:
      return limb ? fmt::format("grip of the {}", long_name(*limb)) : "grip";
    case move::Cause::kStrength:
      break;
  }
  return joint.empty() ? "strength" : fmt::format("strength of the {}", joint);
}

std::string describe_verdict(const move::MoveResult& result) {
  std::string text(move::name_of(result.verdict));
  if (!result.cause_text.empty()) text += " \u2014 " + result.cause_text;
  // Causes of what does not hold have their own amount.
  if (result.verdict == move::Verdict::kStatic && result.effort_peak > 0.0)
    text += fmt::format(" (peak effort {})", show_percent(result.effort_peak));
  return text;
}

std::string describe_cut_loose(const move::CutLoose& cut) {
  std::string feet;
  for (const Limb foot : cut.feet) feet += (feet.empty() ? "the " : " and the ") + std::string(long_name(foot));
  const char* how = cut.is_from_start ? "hanging free from the start" : "cutting loose on the way";
  return fmt::format("with {} {} it holds at {}", feet, how, show_percent(cut.effort_peak));
}

void draw_use_scale(Canvas& canvas, const Vec2& corner, double width_px) {
  constexpr int kSteps = 52;
  constexpr double kHeight_px = 12.0;
  for (int i = 0; i < kSteps; ++i) {
    const double share = (i + 0.5) / kSteps;
    canvas.rectangle(corner + Vec2(width_px * i / kSteps, 0.0), {width_px / kSteps + 0.6, kHeight_px}, 0.0,
                     {.fill = use_colour(share)});
  }
  canvas.rectangle(corner, {width_px, kHeight_px}, 0.0, {.stroke = kInk, .width_px = 1.0});
  for (const auto& [share, caption] : {std::pair{0.0, "0 %"}, std::pair{0.5, "50 %"}, std::pair{1.0, "100 % or more"}})
    canvas.text(corner + Vec2(share * width_px, kHeight_px + 14.0), caption,
                {.size_px = 11.5, .fill = "#323f4b", .anchor = "middle"});
}

double find_cautions_height() { return kCautionLine_px * static_cast<double>(std::size(figure::kCautions)); }

double draw_cautions(Canvas& canvas, const Vec2& corner) {
  double y = corner.y();
  for (const std::string_view caution : figure::kCautions) {
    canvas.text({corner.x(), y}, caution, {.size_px = 11.5, .fill = kMuted});
    y += kCautionLine_px;
  }
  return y;
}

}  // namespace steepwright::io
