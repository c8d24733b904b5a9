// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From a settled plan to a written, synced and read-back file that still has no name.

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

#include "engine/base/output_file.h"
#include "engine/colour/conversion.h"
#include "engine/colour/profile.h"
#include "engine/enlarge/network.h"
#include "engine/jobs/make.h"
#include "engine/plan/plan.h"
#include "engine/raster/read_back.h"
#include "engine/raster/row_reader.h"
#include "engine/render/likeness.h"
#include "engine/render/render.h"
#include "engine/render/sample_record.h"

namespace hangtrue::jobs {

/// The stages of one plan with what they own: made once for all panels and windows of one picture.
class PreparedStages {
  public:
    /// `network`: the plan's (networks.h), where it has one.
    PreparedStages(const plan::Plan& plan, raster::SampleModel model, const colour::Profile& picture_profile,
                   const colour::Profile& file_profile, std::shared_ptr<const enlarge::Network> network = nullptr);
    PreparedStages(const PreparedStages&) = delete;
    PreparedStages& operator=(const PreparedStages&) = delete;
    const render::Stages& stages() const { return m_stages; }
    const colour::Conversion& conversion() const { return m_conversion; }

  private:
    colour::WorkingForm m_working;
    colour::Conversion m_conversion;
    std::shared_ptr<const enlarge::Network> m_network;
    render::Stages m_stages;
};

struct PrintInputs {
    const plan::Plan& plan;
    const colour::Profile& file_profile;
    /// Hands all bands of the file to the sink, as render_file does.
    std::function<void(render::BandSink&)> render;
    std::shared_ptr<render::LikenessRecord> likeness;  ///< Filled while rendering, where a network enlarges.
};

/// The file that the plan makes of the picture. What is handed in outlives the inputs.
PrintInputs print_of_picture(const plan::Plan& plan, raster::RowReader& picture, const render::Stages& stages,
                             const colour::Profile& file_profile, Context& context);

struct WrittenPrint {
    std::unique_ptr<base::OutputFile> file;  ///< Whole, on the disk, read back; not yet named.
    render::SampleRecord record;             ///< Of the samples given to the encoder.
    raster::FoundFile found;
    std::optional<LossyCost> lossy;
    std::optional<render::Likeness> likeness;
    std::int64_t spilled_bytes = 0;
};

/// Throws WriteFailed also when what the disk gives back is not what was given to it.
WrittenPrint written_print(const PrintInputs& inputs, const std::filesystem::path& final_name,
                           base::OutputFile::Existing existing, Context& context, StageSeconds& seconds);

/// What a file of this plan says besides its samples.
raster::PrintTags print_tags(const plan::Plan& plan, const colour::Profile& file_profile);

/// In what the file's header and tags differ from the plan: sentences, none where all is as it should be.
std::vector<std::string> tag_differences(const raster::FoundFile& found, const plan::Plan& plan,
                                         const raster::PrintTags& wanted);

}  // namespace hangtrue::jobs
